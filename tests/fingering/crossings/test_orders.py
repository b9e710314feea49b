"""Counting clean orders, and the order to teach."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given, settings

from fingering.crossings.orders import clean_order_count, foreign_patterns
from fingering.crossings.passing import PassingKind, passings
from fingering.crossings.teaching import teach
from fingering.crossings.transition import Transition
from fingering.holes import Finger, HoleState
from fingering.notes import HARMONIC, TUNINGS, Note, Tuning
from tests.fingering.crossings.strategies import transitions

pytestmark = pytest.mark.same_everywhere

PAIRS = list(permutations(Note, 2))


def foreign_along(transition: Transition, order: tuple[Finger, ...], tuning: Tuning = HARMONIC) -> int:
    """How many foreign states an order passes."""
    kinds = {each.state: each.kind for each in passings(transition, tuning)}
    return sum(kinds[state] is PassingKind.FOREIGN for state in transition.path(order))


@settings(deadline=None, max_examples=60)
@given(transitions.filter(lambda transition: len(transition.movers) <= 5))
def test_clean_orders_are_counted_as_they_are_walked(transition: Transition) -> None:
    """Dynamic programming on the lattice against every order walked in turn."""
    walked = [order for order in transition.orders() if not foreign_along(transition, order)]
    assert len(walked) == clean_order_count(transition)


@settings(deadline=None)
@given(transitions)
def test_every_order_has_one_pattern(transition: Transition) -> None:
    """The counts add up to all orders; the way back has as many of each, mirrored."""
    assert foreign_patterns(transition).total() == transition.order_count
    assert clean_order_count(transition) == clean_order_count(transition.reversed())


def test_eight_fingers_are_counted_without_walking_40320_orders() -> None:
    """All closed to all open: the thumb must come first, the rest is free."""
    assert clean_order_count(Transition(HoleState(255), HoleState(0))) == 5040


@pytest.mark.parametrize("tuning", TUNINGS, ids=lambda tuning: tuning.name)
def test_every_pair_of_notes_has_a_clean_order_and_it_is_taught(tuning: Tuning) -> None:
    """All 72."""
    for pair in PAIRS:
        transition = Transition.between(*pair)
        lesson = teach(transition, tuning)
        assert lesson.clean
        assert set(lesson.order) == set(transition.movers)
        assert foreign_along(transition, lesson.order, tuning) == 0


@settings(deadline=None, max_examples=60)
@given(transitions.filter(lambda transition: len(transition.movers) <= 5))
def test_no_order_passes_fewer_foreign_states_than_the_one_taught(transition: Transition) -> None:
    """Where none is clean, the least foreign is taught."""
    lesson = teach(transition)
    fewest = min(foreign_along(transition, order) for order in transition.orders())
    assert foreign_along(transition, lesson.order) == fewest
    assert lesson.clean == (fewest == 0)


@settings(deadline=None, max_examples=60)
@given(transitions.filter(lambda transition: len(transition.movers) <= 5))
def test_within_a_group_any_order_will_do(transition: Transition) -> None:
    """Groups, in turn, make the order; shuffling inside them adds no foreign state."""
    lesson = teach(transition)
    assert tuple(finger for group in lesson.groups for finger in group) == lesson.order
    fewest = foreign_along(transition, lesson.order)
    for place, group in enumerate(lesson.groups):
        before = [finger for each in lesson.groups[:place] for finger in each]
        after = [finger for each in lesson.groups[place + 1 :] for finger in each]
        for shuffled in permutations(group):
            assert foreign_along(transition, (*before, *shuffled, *after)) == fewest


def test_opens_lead_closes_where_both_ways_are_clean() -> None:
    """What teachers ask for (common practice, no source): every lift of C to F and of D to high A comes first."""
    for pair in ((Note.C, Note.F), (Note.D, Note.HIGH_A), (Note.E, Note.D)):
        transition = Transition.between(*pair)
        assert set(teach(transition).order[: len(transition.lifts)]) == set(transition.lifts)


@pytest.mark.parametrize(
    ("start", "end", "sentence"),
    [
        (Note.D, Note.E, "upper ring finger up first, then the lower hand"),
        (Note.LOW_G, Note.B, "lower ring finger up first, then lower little finger up"),
        (Note.HIGH_A, Note.E, "upper ring finger up and upper middle and index down first, then thumb down"),
        (Note.B, Note.C, "the lower hand: in any order, no crossing noise can sound"),
        (Note.LOW_A, Note.E, "upper ring finger up: one finger, nothing to cross"),
        (Note.D, Note.HIGH_A, "thumb up first, then all the others"),
        (Note.HIGH_A, Note.D, "thumb down last, after all the others"),
    ],
)
def test_the_order_is_told_in_a_plain_sentence(start: Note, end: Note, sentence: str) -> None:
    """Wording of the project's own; the D to E order is common practice, no source."""
    assert teach(Transition.between(start, end)).sentence == sentence
