"""Fingers, orders and states of a transition."""

from __future__ import annotations

import random
from itertools import combinations, islice, pairwise, permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fingering.chart import chart
from fingering.crossings.transition import Transition
from fingering.errors import UserError
from fingering.holes import Finger, HoleState
from fingering.notes import Note
from tests.fingering.crossings.strategies import transitions

PAIRS = [Transition.between(one, other) for one, other in combinations(Note, 2)]


def test_six_pairs_of_notes_move_one_finger() -> None:
    """Common practice, no source: low G-low A, low A-B, low A-E, C-D, E-F, F-high G."""
    alone = [pair for pair in PAIRS if len(pair.movers) == 1]
    ends = {(Note.LOW_G, Note.LOW_A), (Note.LOW_A, Note.B), (Note.LOW_A, Note.E)}
    ends |= {(Note.C, Note.D), (Note.E, Note.F), (Note.F, Note.HIGH_G)}
    assert {(pair.start, pair.end) for pair in alone} == {(chart(one), chart(other)) for one, other in ends}


def test_nineteen_pairs_of_notes_move_fingers_both_ways() -> None:
    """Common practice, no source."""
    assert sum(bool(pair.lifts and pair.drops) for pair in PAIRS) == 19


def test_the_strike_from_e_to_low_a_moves_the_upper_ring_finger_only() -> None:
    """Common practice, no source: the lower hand is in its low A place already."""
    strike = Transition.between(Note.E, Note.LOW_A)
    assert strike.movers == strike.drops == (Finger.UPPER_RING,)


@given(transitions, st.randoms(use_true_random=False))
def test_a_path_moves_only_fingers_that_differ_each_once(transition: Transition, dice: random.Random) -> None:
    """Any two of the 256 states: neighbours on the path differ by one of the moving fingers, all different."""
    order = dice.sample(transition.movers, len(transition.movers))
    path = transition.path(order)
    moved = [old.moves_to(new) for old, new in pairwise(path)]
    assert moved == [(finger,) for finger in order]
    assert (path[0], path[-1]) == (transition.start, transition.end)
    assert set(order) == set(transition.start.moves_to(transition.end))


@given(transitions, st.randoms(use_true_random=False))
def test_reversing_a_transition_reverses_its_paths(transition: Transition, dice: random.Random) -> None:
    """The way back passes the same states, last first; what lifts drops."""
    order = dice.sample(transition.movers, len(transition.movers))
    back = transition.reversed()
    assert back.path(order[::-1]) == transition.path(order)[::-1]
    assert (back.lifts, back.drops) == (transition.drops, transition.lifts)
    assert back.lattice() == transition.lattice()[::-1]


@given(transitions, st.randoms(use_true_random=False))
def test_the_lattice_holds_the_states_of_every_path(transition: Transition, dice: random.Random) -> None:
    """Indexed by the set of fingers that have moved."""
    order = dice.sample(transition.movers, len(transition.movers))
    lattice = transition.lattice()
    for count, state in enumerate(transition.path(order)):
        assert lattice[transition.moved(order[:count])] == state
    assert len(set(lattice)) == len(lattice) == 2 ** len(transition.movers)


def test_orders_are_all_permutations_and_listed_lazily() -> None:
    """Three fingers have six; eight fingers have 40,320, of which the first few cost nothing."""
    three = Transition.between(Note.LOW_G, Note.D)
    assert set(three.orders()) == set(permutations(three.movers))
    assert three.order_count == 6
    eight = Transition(HoleState(0), HoleState(255))
    assert eight.order_count == 40_320
    assert len(list(islice(eight.orders(), 3))) == 3


def test_the_same_note_twice_is_a_user_error() -> None:
    """One line that names the note."""
    with pytest.raises(UserError, match="low A to low A is no crossing; give two different notes"):
        Transition.between(Note.LOW_A, Note.LOW_A)
    with pytest.raises(UserError, match="nothing moves from x xxx xxxx"):
        Transition(HoleState(255), HoleState(255))


def test_a_finger_that_does_not_move_is_a_user_error() -> None:
    """The message names it and those that do."""
    with pytest.raises(UserError, match=r"the thumb does not move .* choose from: upper ring, lower index"):
        Transition.between(Note.D, Note.E).moved([Finger.THUMB])
