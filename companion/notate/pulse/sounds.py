"""The notes that sounded in a take, one after another."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from companion.listen.model.played import Played
from companion.listen.model.segments import Segment, Segmenter
from fingering.notes import Note

SHORTEST_S = 0.010
"""What sounds for less is fingers on their way: nobody plays a gracenote so short. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class MaybeSounding:
    """A short note that may have sounded within another, from `at_s` on: how likely it is, 0 to 1."""

    note: Note
    at_s: float
    confidence: float


@dataclass(frozen=True, slots=True)
class SoundingNote:
    """One note that sounded, from `onset_s` to `end_s`; `silence_s` is the silence just before it.

    Of a sound: confidence tells how sure it is that it was there (0 to 1), others are the notes that it could as well
    have been, maybe those that may have sounded within it. plays: of how many that were meant alike it is the mean;
    is_melody: whether they show that it is no gracenote.
    """

    note: Note
    onset_s: float
    end_s: float
    silence_s: float = 0.0
    confidence: float = 1.0
    others: frozenset[Note] = frozenset()
    maybe: tuple[MaybeSounding, ...] = ()
    plays: int = 1
    is_melody: bool = False

    @property
    def length_s(self) -> float:
        """How long it sounded."""
        return self.end_s - self.onset_s


def sounding_notes(events: Iterable[Played]) -> tuple[SoundingNote, ...]:
    """Return the notes of a take, without what is too short to be any. Equal notes in a row are one, as they sound.

    Raises UserError where time runs backwards.
    """
    segmenter = Segmenter()
    segments: list[Segment] = []
    for event in events:
        segments += segmenter.feed(event)
    segments += segmenter.finish()
    notes: list[SoundingNote] = []
    for each in segments:
        end_s = each.onset_s if each.end_s is None else each.end_s
        if end_s - each.onset_s >= SHORTEST_S:
            _add(notes, SoundingNote(each.note, each.onset_s, end_s, each.silence_s))
    return tuple(notes)


def _add(notes: list[SoundingNote], note: SoundingNote) -> None:
    if notes and notes[-1].note is note.note and not note.silence_s:
        notes[-1] = replace(notes[-1], end_s=note.end_s)
    else:
        notes.append(note)
