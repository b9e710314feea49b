"""Noises of crossings that surely sounded in a room, however short: no echo can have made them. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import takewhile

from companion.hearing.heard import HeardNote
from companion.hearing.takes.around import begun_near, is_short
from companion.hearing.takes.reading.kinder import SURE
from companion.hearing.takes.reading.octaves import NEIGHBOURS, OCTAVES
from companion.listen.model.findings import Finding, FindingKind

SHORTEST_S, UNHEARD_S = 0.014, 0.4
"""A short note that is as long as the first, sure, and of a name that did not sound for the second before it, nor is
an octave or a neighbour of those beside it, was there: on trial (nine seeds, seven sources in a room of 0.4 s) of those
shorter than 30 ms 1,865 were, and 28 were not, all of them one chanter's D before its high G."""


def sure_noises(notes: Sequence[HeardNote], findings: Sequence[Finding]) -> list[HeardNote]:
    """Those of some notes in order that are told to be noises of crossings, and surely sounded."""
    told = [each for each in findings if each.kind is FindingKind.CROSSING]
    return [
        notes[rank]
        for each in told
        for rank in begun_near(notes, each.at_s)
        if notes[rank].note.letter == each.heard and _is_sure(rank, notes)
    ]


def _is_sure(rank: int, notes: Sequence[HeardNote]) -> bool:
    note, beside = notes[rank], (*notes[max(0, rank - 1) : rank], *notes[rank + 1 : rank + 2])
    if not is_short(note) or note.length_s < SHORTEST_S or note.confidence < SURE or note.others:
        return False
    if {OCTAVES.get(note.note), NEIGHBOURS.get(note.note)} & {each.note for each in beside}:
        return False
    recent = takewhile(lambda each: note.at_s - each.stop_s < UNHEARD_S, reversed(notes[:rank]))
    return all(each.note is not note.note for each in recent)
