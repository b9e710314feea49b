"""Findings: one thing heard in a take that differs from what was asked, as data that people and programs read."""

from __future__ import annotations

import enum
from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from typing import Any

from companion.listen.model.asked import Asked
from companion.listen.model.words import melody_label, place_of
from fingering.holes import Finger


class FindingKind(enum.Enum):
    """What can be found, spelled as in the JSON."""

    CROSSING = "crossing"
    MISSING_GRACENOTE = "missing-gracenote"
    EXTRA_GRACENOTE = "extra-gracenote"
    WRONG_GRACENOTE = "wrong-gracenote"
    LONG_GRACENOTE = "long-gracenote"
    UNEVEN = "uneven-embellishment"
    MISSING_NOTE = "missing-note"
    WRONG_NOTE = "wrong-note"
    EXTRA_NOTE = "extra-note"
    EARLY = "early"
    LATE = "late"
    POINTING = "pointing"
    BREAK = "break"
    RESTART = "restart"
    ORDER = "order"


@dataclass(frozen=True, slots=True)
class CrossingDetail:
    """Between which notes (ABC letters) a crossing noise was heard, of which sort, and the finger that made it.

    finger_ms: by how much that finger was late (above 0) or early. certainty: that it was this finger, 0 to 1.
    """

    before: str
    after: str
    sort: str
    finger: Finger
    finger_ms: float
    certainty: float


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding. `note` is the written note's index in the tune, `played` its rank in the performance.

    at_s: on the take's clock, where it is heard. asked, heard: ABC letters, or a ratio for pointing. ms: how long or by
    how much, None where that means nothing. place: what a learner would call the spot ("the doubling on E"). cause:
    equal for findings with one remedy. throughout: whether it holds for all of the take, and is no slip. late: the
    fingers that ended a gracenote later than its fellows, where it was uneven.
    """

    kind: FindingKind
    at_s: float
    bar: int
    note: int
    played: int
    asked: str
    heard: str
    fingers: tuple[Finger, ...]
    ms: float | None
    text: str
    place: str
    cause: Hashable
    crossing: CrossingDetail | None = None
    throughout: bool = False
    late: tuple[Finger, ...] = ()


_ABOUT_EMBELLISHMENTS = frozenset(
    {
        FindingKind.MISSING_GRACENOTE,
        FindingKind.WRONG_GRACENOTE,
        FindingKind.LONG_GRACENOTE,
        FindingKind.UNEVEN,
    }
)


def finding_at(
    asked: Asked,
    played: int,
    kind: FindingKind,
    *,
    at_s: float,
    text: str,
    cause: Hashable,
    wanted: str = "",
    heard: str = "",
    fingers: tuple[Finger, ...] = (),
    ms: float | None = None,
    place: str | None = None,
    crossing: CrossingDetail | None = None,
    throughout: bool = False,
    late: tuple[Finger, ...] = (),
) -> Finding:
    """Return the finding at one played note of a tune; bar, note and place are those of that played note.

    wanted, heard: what was asked for and what was heard, as in `Finding`. place: a name for the spot where it is not
    the melody note itself or, for what is told of gracenotes, its embellishment.
    """
    each = asked.played(played)
    if place is None:
        place = place_of(asked, played) if kind in _ABOUT_EMBELLISHMENTS else melody_label(asked, played)
    bar, note = each.bar.number, each.note.rank
    about = bar, note, played, wanted, heard, fingers, ms, text, place, cause
    return Finding(kind, at_s, *about, crossing, throughout, late)


def in_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return findings in order of time."""
    return tuple(sorted(findings, key=lambda finding: (finding.at_s, finding.kind.value)))


def finding_to_data(finding: Finding) -> dict[str, Any]:
    """A finding as JSON: times in ms, fingers by their names; a crossing also has from, to, sort and finger."""
    data: dict[str, Any] = {
        "kind": finding.kind.value,
        "at_ms": round(finding.at_s * 1000.0, 1),
        "bar": finding.bar,
        "note": finding.note,
        "asked": finding.asked,
        "heard": finding.heard,
        "fingers": [finger.label for finger in finding.fingers],
        "ms": None if finding.ms is None else round(finding.ms, 1),
        "text": finding.text,
    }
    if finding.crossing is not None:
        detail = finding.crossing
        data |= {"from": detail.before, "to": detail.after, "sort": detail.sort, "finger": detail.finger.label}
        data |= {"finger_ms": round(detail.finger_ms, 1), "certainty": round(detail.certainty, 2)}
    return data
