"""Spells the gracenotes of a take as pipers do: a group that one slip parts from an embellishment becomes that one."""

from __future__ import annotations

from dataclasses import replace

from companion.notate.pulse.counted import CountedNote, CountedTake
from companion.notate.pulse.group_costs import nearest_spelling
from fingering.embellishments import Family, recognise
from fingering.notes import Note


def spelled(take: CountedTake) -> CountedTake:
    """Return a take whose gracenotes are named where that is only a slip away; what was played is kept beside them."""
    before: Note | None = None
    notes: list[CountedNote] = []
    for note in take.notes:
        notes.append(_spelled(note, before))
        before = note.note
    return replace(take, notes=tuple(notes))


def _spelled(note: CountedNote, before: Note | None) -> CountedNote:
    if len(note.graces) < 2 or recognise(note.graces, onto=note.note, before=before).family is not Family.UNNAMED:
        return note
    usual = nearest_spelling(note.graces, note.note, before)
    if usual is None:
        return note
    return replace(note, graces=usual, played_graces=note.graces)
