"""How much each note of a tune tells: the bits that it takes to say it, by what is usual in that tune.

What is everywhere in a tune says nothing about which phrase it belongs to (the low A between the notes of a taorluath
variation, the quavers of a jig); what is rare says much. So likeness is weighed by the tune itself, and not by fixed
weights: with low A everywhere, two phrases are not alike because both have it.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from companion.lesson.phrases.melody import Sound, SpanMelody
from fingering.notes import Note

PITCHES = len(Note) + 1
"""The nine notes, and silence."""

_LENGTHS = 4
"""Lengths that may come next, before anything is known: long, short, dotted, cut."""

_UNSEEN = 0.5
"""What each choice counts before anything is seen: the Krichevsky-Trofimov estimator."""

MOST_OF_GRACENOTES = 1.5
"""Bits that gracenotes may tell at most, less than any melody note: melody is what a phrase is known by."""


@dataclass(frozen=True, slots=True)
class Surprise:
    """Counts of a tune's different bars: pitches on and off the beat, lengths, gracenotes onto each pitch."""

    pitches: Counter[tuple[bool, Note | None]]
    lengths: Counter[tuple[bool, Fraction]]
    graces: Counter[tuple[Note | None, tuple[Note, ...]]]
    onto: Counter[Note | None]
    on_beat: Counter[bool]

    def of_pitch(self, sound: Sound) -> float:
        """Bits to say the sound's pitch."""
        seen = self.pitches[sound.on_beat, sound.note]
        return -math.log2((seen + _UNSEEN) / (self.on_beat[sound.on_beat] + _UNSEEN * PITCHES))

    def of_length(self, sound: Sound) -> float:
        """Bits to say how long the sound is."""
        seen = self.lengths[sound.on_beat, sound.duration]
        return -math.log2((seen + _UNSEEN) / (self.on_beat[sound.on_beat] + _UNSEEN * _LENGTHS))

    def of_gracenotes(self, sound: Sound) -> float:
        """Bits to say the gracenotes onto the sound, at most MOST_OF_GRACENOTES."""
        seen = self.graces[sound.note, sound.gracenotes]
        bits = -math.log2((seen + _UNSEEN) / (self.onto[sound.note] + 2 * _UNSEEN))
        return min(MOST_OF_GRACENOTES, max(0.0, bits))

    def of(self, melody: SpanMelody) -> float:
        """Bits to say a whole bar."""
        return sum(self.of_pitch(each) + self.of_length(each) + self.of_gracenotes(each) for each in melody.sounds)


def surprise_of(melodies: Iterable[SpanMelody]) -> Surprise:
    """What is usual in these bars; each different bar counts once, however often it comes."""
    sounds = [sound for melody in dict.fromkeys(melodies) for sound in melody.sounds]
    return Surprise(
        Counter((each.on_beat, each.note) for each in sounds),
        Counter((each.on_beat, each.duration) for each in sounds),
        Counter((each.note, each.gracenotes) for each in sounds),
        Counter(each.note for each in sounds),
        Counter(each.on_beat for each in sounds),
    )
