"""The judge on simulated learners: few false alarms, few misses, the right finger, the right order of parts.

The limits here are for a few takes; `python3 -m tests.learners` measures 200.
"""

from __future__ import annotations

from functools import cache

import pytest

from companion.listen.model.findings import FindingKind
from tests.learners.changes import OrderChange
from tests.learners.groups import LearnerGroup
from tests.learners.learner import HardSlip
from tests.learners.measure import measured
from tests.learners.score import Score
from tests.learners.trials import EVERY_FAULT, FAULTLESS, HOLES, LAST_NOTE, SECOND_OF_EQUAL, UNSTEADY

pytestmark = pytest.mark.same_everywhere
TAKES = 24
FEW = 4
TOLD_SO_FAR = 0.9
"""Of the hard trials, in few takes."""

RHYTHM = (FindingKind.EARLY, FindingKind.LATE, FindingKind.POINTING)
FINGERS = tuple(kind.value for kind in FindingKind if kind not in (*RHYTHM, FindingKind.ORDER))


@cache
def score(trial: str) -> Score:
    """The score of a few takes by steady learners."""
    return measured(trial, LearnerGroup.STEADY, TAKES)


@pytest.mark.parametrize("trial", [EVERY_FAULT, HOLES])
@pytest.mark.parametrize("kind", FINGERS)
def test_each_kind_is_found_and_hardly_any_invented(kind: str, trial: str) -> None:
    """At most one missed and two invented of each kind, or 4 %."""
    made = score(trial).made(kind)
    assert score(trial).misses[kind] <= max(1, 0.04 * made)
    assert score(trial).false_alarms[kind] <= max(2, 0.04 * made)


@pytest.mark.parametrize("trial", [EVERY_FAULT, HOLES])
def test_the_finger_is_named_right(trial: str) -> None:
    """In 95 % of the crossings, from notes and from hole states."""
    fingers = score(trial).fingers
    assert fingers["right"] >= 0.95 * sum(fingers.values())
    assert sum(fingers.values()) > 15


def test_rhythm_is_seldom_blamed_wrongly() -> None:
    """Early, late and pointing together, one in 250 notes at most, among other faults."""
    false = sum(score(EVERY_FAULT).false_alarms[kind.value] for kind in RHYTHM)
    assert false < score(EVERY_FAULT).notes / 250.0


@pytest.mark.parametrize("group", LearnerGroup)
def test_faultless_players_hear_nothing(group: LearnerGroup) -> None:
    """At most one finding in 200 notes, unsteady and slow as they may be."""
    faultless = measured(FAULTLESS, group, FEW)
    assert faultless.elsewhere <= faultless.notes / 200.0


@pytest.mark.parametrize(
    "trial", [HardSlip.AS_NOTE_BEFORE.value, HardSlip.AS_NOTE_AFTER.value, LAST_NOTE, SECOND_OF_EQUAL]
)
def test_faults_that_are_hard_to_tell_are_told(trial: str) -> None:
    """Nine in ten of them."""
    hard = measured(trial, LearnerGroup.STEADY, FEW)
    assert hard.made(trial) >= FEW
    assert hard.recall(trial) >= TOLD_SO_FAR


def test_a_part_that_was_played_once_more_is_told_and_nothing_else() -> None:
    """Once a take."""
    order = measured(OrderChange.THRICE.value, LearnerGroup.STEADY, FEW)
    assert order.recall(OrderChange.THRICE.value) == 1.0
    assert order.elsewhere <= 1


def test_a_tempo_that_wanders_is_told_of_the_unsteady_alone() -> None:
    """By the verdict, once a take."""
    assert measured(UNSTEADY, LearnerGroup.UNSTEADY, FEW).recall(UNSTEADY) == 1.0
    assert not measured(UNSTEADY, LearnerGroup.STEADY, FEW).false_alarms[UNSTEADY]
