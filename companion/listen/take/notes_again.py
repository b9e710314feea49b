"""One note, or one and the next, begun again without a silence: at first it sounds like notes too many on one that goes
on.

They end with the gracenotes of the note itself. Where nothing is before these, what shows that it was begun again, and
not adorned twice, is a stop, a whole embellishment, or that the note after it comes as much later as the first attempt
lasted.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import groupby
from operator import attrgetter

from companion.listen.find.leaps import begun_again_from, note_again
from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind, in_order
from companion.listen.model.words import letters

_EXTRA = frozenset({FindingKind.EXTRA_GRACENOTE, FindingKind.EXTRA_NOTE})

STOP_BEFORE_S = 0.4
"""A stop at most this long, in s, before the gracenotes leads to them."""

LATER_FROM, LATER_TO = 0.6, 1.6
"""The note after one begun again is later by between these shares of how long the first attempt lasted."""


def tell_notes_again(
    asked: Asked, findings: Sequence[Finding], moments: Sequence[tuple[int, float]]
) -> tuple[Finding, ...]:
    """Return the findings of a take, in order of time, with each note that was begun again told as that, once.

    moments: the played notes with when their beat was taken to be, in s.
    """
    told: dict[int, Finding | None] = {}
    for played, extras in _extras_by_note(findings):
        heard, graces = "".join(each.heard for each in extras), _own_gracenotes(asked, played)
        if graces and heard == _next_note(asked, played) + graces:
            again = begun_again_from(asked, played, played, extras[-1].at_s)
            beyond = []
        elif heard == graces:
            again = note_again(asked, played, extras[0].at_s)
            beyond = _stops_before(findings, extras[0]) + _later_after(findings, extras[0], moments)
            if not beyond and len(extras) < 2:
                continue
        else:
            continue
        told |= {id(each): None for each in [*extras, *beyond]}
        told[id(extras[0])] = again
    return in_order(kept for each in findings if (kept := told.get(id(each), each)) is not None)


def _extras_by_note(findings: Sequence[Finding]) -> list[tuple[int, list[Finding]]]:
    extras = [each for each in findings if each.kind in _EXTRA]
    return [(played, list(each)) for played, each in groupby(extras, key=attrgetter("played"))]


def _own_gracenotes(asked: Asked, played: int) -> str:
    """The gracenotes of a note in ABC letters, but for those that sound like the note itself and are lost in it."""
    note = asked.played(played).note
    return letters([each for each in note.gracenotes if each is not note.note])


def _next_note(asked: Asked, played: int) -> str:
    """The note after a played one, and its gracenotes, in ABC letters."""
    if played + 1 >= len(asked.schedule.played):
        return ""
    after = asked.played(played + 1).note
    return letters([*after.gracenotes, *([] if after.note is None else [after.note])])


def _stops_before(findings: Sequence[Finding], extra: Finding) -> list[Finding]:
    return [
        each
        for each in findings
        if each.kind is FindingKind.BREAK
        and each.played == extra.played
        and extra.at_s - STOP_BEFORE_S - (each.ms or 0.0) / 1000.0 <= each.at_s <= extra.at_s
    ]


def _later_after(findings: Sequence[Finding], extra: Finding, moments: Sequence[tuple[int, float]]) -> list[Finding]:
    begun = [at_s for played, at_s in moments if played == extra.played]
    rank = bisect_right(begun, extra.at_s)
    if not rank:
        return []
    attempt_ms = 1000.0 * (extra.at_s - begun[rank - 1])
    return [
        each
        for each in findings
        if each.kind is FindingKind.LATE
        and each.played == extra.played + 1
        and LATER_FROM * attempt_ms <= (each.ms or 0.0) <= LATER_TO * attempt_ms
    ]
