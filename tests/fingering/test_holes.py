"""Fingers and hole states."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fingering.errors import UserError
from fingering.holes import ALL_CLOSED, Finger, HoleState

states = st.integers(0, 255).map(HoleState)


def test_there_are_eight_fingers_the_thumb_first() -> None:
    """A lane a finger, top down."""
    assert [finger.label for finger in Finger][:2] == ["thumb", "upper index"]
    assert list(map(int, Finger)) == list(range(8))


@pytest.mark.parametrize("label", ["upper ring", "Upper-Ring", " UPPER_RING "])
def test_a_finger_is_found_by_its_name(label: str) -> None:
    """Case, dashes and spaces do not matter."""
    assert Finger.from_label(label) is Finger.UPPER_RING


def test_an_unknown_finger_is_a_user_error() -> None:
    """The message lists the eight."""
    with pytest.raises(UserError, match="'lower little'"):
        Finger.from_label("upper little")


def test_the_text_form_is_thumb_upper_hand_lower_hand() -> None:
    """x closed, o open."""
    state = HoleState.parse("x xxo xxxo")
    assert state.open_fingers() == (Finger.UPPER_RING, Finger.LOWER_LITTLE)


@given(states)
def test_the_text_form_reads_back(state: HoleState) -> None:
    """`parse` reads what `str` writes, and the repr is the call that does."""
    assert HoleState.parse(str(state)) == state
    assert repr(state) == f"HoleState.parse('{state}')"


@pytest.mark.parametrize("text", ["", "x xxx xxx", "x xxx xxxxx", "x xxx xxx?", "X xxx xxxx"])
def test_what_is_not_eight_marks_is_a_user_error(text: str) -> None:
    """The message shows a right one."""
    with pytest.raises(UserError, match="like 'x xxo xxxo'"):
        HoleState.parse(text)


@pytest.mark.parametrize("bits", [-1, 256])
def test_a_state_has_eight_bits(bits: int) -> None:
    """Anything else is a programmer's mistake."""
    with pytest.raises(ValueError, match="8 bits"):
        HoleState(bits)


@given(states)
def test_a_state_is_the_set_of_its_closed_fingers(state: HoleState) -> None:
    """`of_closed` rebuilds a state from its closed fingers; closed and open fingers together are all eight."""
    closed = [finger for finger in Finger if state.closed(finger)]
    assert HoleState.of_closed(closed) == state
    assert sorted([*closed, *state.open_fingers()]) == list(Finger)


@given(states, states)
def test_lifts_and_drops_together_are_the_whole_move(old: HoleState, new: HoleState) -> None:
    """Lifting what opens, then dropping what closes, arrives; and no finger does both."""
    lifts, drops = old.lifts_to(new), old.drops_to(new)
    assert old.lifting(*lifts).dropping(*drops) == new
    assert sorted(lifts + drops) == list(old.moves_to(new))


@given(states, states)
def test_no_move_touches_a_finger_that_both_ends_agree_on(old: HoleState, new: HoleState) -> None:
    """Half-way, with what opens gone ahead, the fingers that agree still stand where they stood."""
    half_way = old.lifting(*old.lifts_to(new))
    agreed = [finger for finger in Finger if old.closed(finger) == new.closed(finger)]
    assert all(half_way.closed(finger) == old.closed(finger) for finger in agreed)


@given(states)
def test_the_topmost_open_hole_has_none_open_above_it(state: HoleState) -> None:
    """With all closed there is none."""
    top = state.topmost_open()
    if top is None:
        assert state == ALL_CLOSED
    else:
        assert not state.closed(top)
        assert all(state.closed(finger) for finger in Finger if finger < top)
