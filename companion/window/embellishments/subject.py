"""One embellishment between two notes, and the notes that may take their places."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from companion.schedule.events import Schedule
from fingering.embellishments import (
    Embellishment,
    Entry,
    Family,
    entries_onto,
    notes_before,
    notes_onto,
    recognise,
    spell,
)
from fingering.notes import Note

USUAL_BEFORE = (Note.C, Note.B, Note.D, Note.E, Note.LOW_A, Note.F, Note.LOW_G, Note.HIGH_G, Note.HIGH_A)
"""The notes that an embellishment is shown from where nobody chose, the first that can be."""


@dataclass(frozen=True, slots=True)
class Subject:
    """An embellishment that comes from the melody note `before`.

    kind: the name by which it is spelled anew from or onto another note; "" where it has none, and stays as it is.
    """

    embellishment: Embellishment
    before: Note
    kind: str

    @property
    def befores(self) -> tuple[Note, ...]:
        """The notes that it can come from, in order; the one that it comes from is always among them."""
        found = notes_before(self.kind, self.embellishment.onto) if self.kind else ()
        return tuple(sorted({*found, self.before}))

    @property
    def ontos(self) -> tuple[Note, ...]:
        """The notes that it can lead onto, in order, its own among them."""
        return tuple(sorted({*(notes_onto(self.kind) if self.kind else ()), self.embellishment.onto}))

    def coming_from(self, before: Note) -> Subject:
        """The embellishment of that kind from another of `befores`, in the form that is played there."""
        return named_subject(self.kind, self.embellishment.onto, before) if self.kind else self

    def leading_onto(self, onto: Note) -> Subject:
        """The embellishment of that kind onto another of `ontos`; from another note where it cannot come from this."""
        if onto is self.embellishment.onto:
            return self
        befores = notes_before(self.kind, onto)
        before = self.before if self.before in befores else _usual_among(befores, onto)
        return named_subject(self.kind, onto, before)


def named_subject(name: str, onto: Note, before: Note) -> Subject:
    """The embellishment of that name. Raises UserError where there is none onto that note."""
    gracenotes = spell(name, onto=onto, before=before)
    return Subject(recognise(gracenotes, onto=onto, before=before), before, name)


def usual_subject(name: str, onto: Note | None, before: Note | None) -> Subject:
    """The embellishment of that name, for each note that is None onto or from a usual one that it can have.

    Raises UserError where there is none of that name, or none onto that note.
    """
    if onto is None:
        ontos = notes_onto(name)
        onto = Note.LOW_A if not ontos or Note.LOW_A in ontos else ontos[0]
    if before is None:
        before = _usual_among(notes_before(name, onto) or USUAL_BEFORE, onto)
    return named_subject(name, onto, before)


@cache
def subject_of(entry: Entry) -> Subject:
    """An entry of the catalogue, from a note after which it is spelled as it stands there."""
    onto, gracenotes = entry.embellishment.onto, entry.embellishment.gracenotes
    befores = [
        note for note in notes_before(entry.kind, onto) if spell(entry.kind, onto=onto, before=note) == gracenotes
    ]
    return Subject(entry.embellishment, _usual_among(befores, onto), entry.kind)


def subject_near(schedule: Schedule, time_s: float) -> Subject | None:
    """The embellishment of the note that is played at `time_s`, else the next one, else the last before; None for none.

    It comes from the melody note that stands before it, where there is one.
    """
    here = schedule.events[schedule.event_index_at(time_s)].played
    ranks = [rank for rank, each in enumerate(schedule.embellishments) if each]
    if not ranks:
        return None
    rank = next((rank for rank in ranks if rank >= here), ranks[-1])
    embellishment = schedule.embellishments[rank]
    assert embellishment is not None
    kind = _kind_of(embellishment)
    before = schedule.played[rank - 1].note.note if rank else None
    if before is None:
        befores = notes_before(kind, embellishment.onto) if kind else ()
        before = _usual_among(befores or tuple(Note), embellishment.onto)
    return Subject(embellishment, before, kind)


def _kind_of(embellishment: Embellishment) -> str:
    if embellishment.family is Family.UNNAMED:
        return ""
    entries = (entry for entry in entries_onto(embellishment.onto) if entry.embellishment.name == embellishment.name)
    return next((entry.kind for entry in entries), "")


def _usual_among(befores: tuple[Note, ...] | list[Note], onto: Note) -> Note:
    """The usual note to come from, another one than `onto` where that can be."""
    return min(befores, key=lambda note: (note is onto, USUAL_BEFORE.index(note)))
