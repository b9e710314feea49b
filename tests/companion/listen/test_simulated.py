"""The ear on simulated learners: few false alarms, few misses, the right finger, the right moment.

The limits here are for a few takes; `python3 -m tests.learners` measures 200.
"""

from __future__ import annotations

from functools import cache

import pytest

from companion.listen.model.findings import FindingKind
from tests.learners.measure import clean_findings, measured
from tests.learners.score import Score

pytestmark = pytest.mark.same_everywhere
TAKES = 40
RHYTHM = (FindingKind.EARLY, FindingKind.LATE, FindingKind.POINTING)
FINGERS = tuple(kind for kind in FindingKind if kind not in RHYTHM)


@cache
def score(holes: bool) -> Score:
    """The score of a few takes."""
    return measured(TAKES, holes=holes)


@pytest.mark.parametrize("holes", [False, True], ids=["notes", "holes"])
@pytest.mark.parametrize("kind", FINGERS, ids=lambda kind: kind.value)
def test_each_kind_is_found_and_hardly_any_invented(kind: FindingKind, holes: bool) -> None:
    """At most one missed and three invented of each kind, or 4 %."""
    made = score(holes).hits[kind] + score(holes).misses[kind]
    assert score(holes).misses[kind] <= max(1, 0.04 * made)
    assert score(holes).false_alarms[kind] <= max(3, 0.04 * made)


@pytest.mark.parametrize("holes", [False, True], ids=["notes", "holes"])
def test_the_finger_is_named_right(holes: bool) -> None:
    """In 95 % of the crossings, from notes and from hole states."""
    fingers = score(holes).fingers
    assert fingers["right"] >= 0.95 * sum(fingers.values())
    assert sum(fingers.values()) > 20


def test_good_players_hear_nothing() -> None:
    """Under one finding in 200 notes, at a spread of 1.5 to 4 % of the interval (tapping, Repp 2005, from memory)."""
    findings, notes = clean_findings(TAKES)
    assert findings < notes / 200.0


def test_rhythm_is_seldom_blamed_wrongly() -> None:
    """Early, late and pointing together, one in 250 notes at most, among other faults."""
    false = sum(score(False).false_alarms[kind] for kind in RHYTHM)
    assert false < score(False).notes / 250.0
