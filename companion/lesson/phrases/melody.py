"""Bars as melody: what is sounded when, without what only leads into the next phrase."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from companion.lesson.phrases.spans import PhraseSpan
from companion.score.model import Bar, MelodyNote, Tune
from fingering.notes import Note

ZERO = Fraction(0)


class Sound(NamedTuple):
    """One note of a bar: what it is, how long (as a fraction of a whole note), and whether it begins on a beat.

    Sounds that are equal are played alike in the same place of a bar's beats; ranks and places in a file are left out.
    """

    note: Note | None
    duration: Fraction
    gracenotes: tuple[Note, ...]
    on_beat: bool


class SpanMelody(NamedTuple):
    """The sounds of one bar, and how many of them are its first half."""

    sounds: tuple[Sound, ...]
    half: int


def lead_in_length(tune: Tune, spans: Sequence[PhraseSpan]) -> Fraction:
    """The usual length of the pick-ups that open its spans, the longer one where two are as usual; 0 without any.

    Inside a span such a pick-up stands at the end of the last bar of the phrase before.
    """
    counts = Counter(tune.bars[span.first].length for span in spans if span.body > span.first)
    return max(counts, key=lambda length: (counts[length], length), default=ZERO)


def melody_of(bar: Bar, lead_out: Fraction = ZERO) -> SpanMelody:
    """A bar as melody. lead_out: the length at the end of a full bar that leads into what follows, and is left out."""
    full = bar.meter.bar_length
    end = None if full is None or not lead_out else full - lead_out
    beat = bar.meter.beat_length
    sounds: list[Sound] = []
    half = 0
    for note, at in zip(bar.notes, onsets(bar.notes), strict=True):
        if end is not None and at >= end:
            break
        duration = note.duration if end is None else min(note.duration, end - at)
        sounds.append(Sound(note.note, duration, note.gracenotes, at % beat == 0))
        half += at < bar.length / 2
    return SpanMelody(tuple(sounds), half)


def onsets(notes: Sequence[MelodyNote]) -> list[Fraction]:
    """When each note of a bar begins, counted from the bar's start in parts of a whole note."""
    reached = ZERO
    found: list[Fraction] = []
    for note in notes:
        found.append(reached)
        reached += note.duration
    return found
