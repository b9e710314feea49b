"""How phrases end: open, as a question, or home, where the tune could stop.

Home is the note on which most parts of the tune end, the last of all counting twice. A phrase is at home where the
last note that is held, on a beat that bears an end, is that one, and nothing but what leads on follows it. An octave
above is not home: high A over low A calls for an answer. Common practice, no source.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction

from companion.lesson.model.phrases import PhraseEnd
from companion.lesson.phrases.melody import ZERO, onsets
from companion.lesson.phrases.spans import PhraseSpan
from companion.score.model import Bar, Meter, Tune
from fingering.notes import Note

HELD = Fraction(3, 5)
"""The share of a beat that a note must last to be an end: a crotchet before a quaver's pick-up in 6/8 is one, half of a
beat is not."""

_MINIM = Fraction(1, 2)
_FOUR = 4


def home_of(tune: Tune, spans: Sequence[PhraseSpan]) -> Note | None:
    """The tune's tonic, from the ends of its spans and of their endings; None for a tune of rests."""
    ends = [stop - 1 for span in spans for stop in (*((span.main_stop,) if span.later else ()), *_stops(span))]
    notes = [note for end in ends if (note := _arrival(tune.bars[end])) is not None]
    if not notes:
        return None
    votes = Counter(notes)
    votes[notes[-1]] += 1
    # Of notes with as many votes the one that comes last, so that the answer does not hang on a note's own pitch.
    return max(reversed(notes), key=lambda note: votes[note])


def _stops(span: PhraseSpan) -> list[int]:
    return [ending.stop for ending in span.later_endings()] or [span.stop]


def end_of(bar: Bar, home: Note | None, *, ends_part: bool) -> PhraseEnd:
    """How a phrase ends whose last bar this is. ends_part: whether the part ends there too, on whichever beat."""
    arrival = _held(bar, anywhere=ends_part)
    return PhraseEnd.HOME if arrival is not None and arrival is home else PhraseEnd.OPEN


def _arrival(bar: Bar) -> Note | None:
    """The note that a part comes to rest on: the last that is held, else the last on a beat, else the last."""
    held = _held(bar, anywhere=True)
    if held is not None:
        return held
    beat = bar.meter.beat_length
    last: Note | None = None
    on_beat: Note | None = None
    for note, at in zip(bar.notes, onsets(bar.notes), strict=True):
        if note.note is not None:
            last = note.note
            on_beat = last if at % beat == 0 else on_beat
    return on_beat if on_beat is not None else last


def _held(bar: Bar, *, anywhere: bool) -> Note | None:
    """The last note that is held, if no more than a beat follows it; equal notes on end count as one."""
    beat = _beat(bar.meter)
    runs: list[tuple[Note | None, Fraction, Fraction]] = []
    for note, at in zip(bar.notes, onsets(bar.notes), strict=True):
        if runs and runs[-1][0] is note.note:
            runs[-1] = runs[-1][0], runs[-1][1], runs[-1][2] + note.duration
        else:
            runs.append((note.note, at, note.duration))
    after = ZERO
    for pitch, at, duration in reversed(runs):
        if pitch is not None and duration >= HELD * beat and (anywhere or _bears_an_end(bar.meter, at)):
            return pitch
        after += duration
        if after > beat:
            return None
    return None


def _beat(meter: Meter) -> Fraction:
    """A beat for which a last note is held: in cut time half of the counted one, since reels end on a crotchet."""
    return meter.beat_length / 2 if meter.beat_length == _MINIM else meter.beat_length


def _bears_an_end(meter: Meter, at: Fraction) -> bool:
    """Whether a phrase can come to rest there: on any beat, of four on the first and third."""
    beat = meter.beat_length
    four = meter.beats and meter.bar_length == _FOUR * beat
    return at % (2 * beat if four else beat) == 0
