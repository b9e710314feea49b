"""Noises of crossings and wrong gracenotes that surely sounded in a room, however short: no echo made them. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import takewhile

from companion.hearing.heard import HeardNote
from companion.hearing.takes.around import begun_near, is_short
from companion.hearing.takes.reading.kinder import SURE
from companion.hearing.takes.reading.octaves import NEIGHBOURS, OCTAVES
from companion.listen.model.findings import Finding, FindingKind
from fingering.notes import Note

SHORTEST_S, UNHEARD_S = 0.014, 0.4
"""A short note that is as long as the first, sure, and of a name that did not sound for the second before it, nor is
an octave or a neighbour of those beside it, was there: on trial (nine seeds, seven sources in a room of 0.4 s) of those
shorter than 30 ms 1,865 were, and 28 were not, all of them one chanter's D before its high G."""


SHORTEST_F_S, LONGEST_DOUBTFUL_F_S, LONGEST_F_S = 0.02, 0.03, 0.045
"""An F of 20 ms that leads to a high G in a room sounded, where it is sure; up to the second also where it may as well
be more of that. On trial (31 seeds, seven sources, up to 45 ms) 267 of 267 did that were not in doubt, 312 of 324 that
were, and those that did not were but for two longer than this."""


_ALIKE = {(one.letter, other.letter) for one, other in (*OCTAVES.items(), *NEIGHBOURS.items())}


def sure_noises(notes: Sequence[HeardNote], findings: Sequence[Finding]) -> list[HeardNote]:
    """Those of some notes in order that are told to be noises of crossings or wrong gracenotes, and surely sounded."""
    told = [each for each in findings if each.kind is FindingKind.CROSSING or _is_another(each)]
    return [
        notes[rank]
        for each in told
        for rank in begun_near(notes, each.at_s)
        if notes[rank].note.letter == each.heard and _is_sure(rank, notes)
    ]


def _is_another(finding: Finding) -> bool:
    """Whether a wrong gracenote is not what an echo makes of the one that was asked for: its octave, its neighbour."""
    return finding.kind is FindingKind.WRONG_GRACENOTE and (finding.asked, finding.heard) not in _ALIKE


def _is_sure(rank: int, notes: Sequence[HeardNote]) -> bool:
    note, beside = notes[rank], (*notes[max(0, rank - 1) : rank], *notes[rank + 1 : rank + 2])
    if _leads_to_high_g(rank, notes):
        return True
    if not is_short(note) or note.length_s < SHORTEST_S or note.confidence < SURE or note.others:
        return False
    if {OCTAVES.get(note.note), NEIGHBOURS.get(note.note)} & {each.note for each in beside}:
        return False
    recent = takewhile(lambda each: note.at_s - each.stop_s < UNHEARD_S, reversed(notes[:rank]))
    return all(each.note is not note.note for each in recent)


def _leads_to_high_g(rank: int, notes: Sequence[HeardNote]) -> bool:
    """Whether a note is an F that surely sounded before a high G, and not after one."""
    names = [each.note for each in notes[max(0, rank - 1) : rank + 2]]
    if not 0 < rank < len(notes) - 1 or names[1:] != [Note.F, Note.HIGH_G] or names[0] is Note.HIGH_G:
        return False
    note, longest_s = notes[rank], LONGEST_DOUBTFUL_F_S if notes[rank].others else LONGEST_F_S
    is_f = note.confidence >= SURE and note.others <= {Note.HIGH_G}
    return is_f and SHORTEST_F_S <= note.length_s < longest_s
