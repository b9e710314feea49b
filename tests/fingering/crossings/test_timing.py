"""What is heard when a finger is late, and for how long."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fingering.chart import chart
from fingering.crossings.passing import PassingKind
from fingering.crossings.timing import foreign_notes, heard, timed_states
from fingering.crossings.transition import Transition
from fingering.errors import UserError
from fingering.holes import Finger, HoleState
from fingering.notes import Note
from tests.fingering.crossings.strategies import transitions

HIGH_A_TO_E = Transition.between(Note.HIGH_A, Note.E)


def test_high_a_to_e_with_the_ring_finger_40_ms_late_sounds_low_a_for_40_ms() -> None:
    """Common practice for the note, no source."""
    (noise,) = heard(HIGH_A_TO_E, {Finger.UPPER_RING: 40.0})
    assert (noise.sounding.note, noise.kind, noise.lasts_ms) == (Note.LOW_A, PassingKind.FOREIGN, 40.0)
    assert timed_states(HIGH_A_TO_E, {Finger.UPPER_RING: 40.0}) == ((0.0, chart(Note.LOW_A)), (40.0, chart(Note.E)))


def test_fingers_together_sound_nothing_in_between() -> None:
    """The end holds at once."""
    assert heard(HIGH_A_TO_E, {}) == ()
    assert timed_states(HIGH_A_TO_E, {}) == ((0.0, chart(Note.E)),)


def test_an_early_finger_moves_before_the_others() -> None:
    """A time below nought."""
    assert timed_states(HIGH_A_TO_E, {Finger.UPPER_RING: -25.0}) == (
        (-25.0, HoleState.parse("o ooo xxxo")),
        (0.0, chart(Note.E)),
    )
    assert foreign_notes(HIGH_A_TO_E, {Finger.UPPER_RING: -25.0}) == ()


def test_equal_notes_in_a_row_are_heard_as_one() -> None:
    """D to E: C twice over, then low A, by the times of the lower hand."""
    off_ms = {
        Finger.UPPER_RING: 30.0,
        Finger.LOWER_INDEX: -10.0,
        Finger.LOWER_LITTLE: -5.0,
    }
    assert foreign_notes(Transition.between(Note.D, Note.E), off_ms) == ((Note.C, 10.0), (Note.LOW_A, 30.0))


@given(transitions, st.data())
def test_the_stretches_fill_the_time_from_the_first_finger_to_the_last(
    transition: Transition, data: st.DataObject
) -> None:
    """Each begins where the one before ends, and none lasts no time."""
    times = st.dictionaries(st.sampled_from(transition.movers), st.floats(-200.0, 200.0))
    off_ms = data.draw(times)
    stretches = heard(transition, off_ms)
    all_ms = [off_ms.get(finger, 0.0) for finger in transition.movers]
    assert sum(each.lasts_ms for each in stretches) == pytest.approx(max(all_ms) - min(all_ms))
    assert all(each.lasts_ms > 0.0 for each in stretches)
    assert timed_states(transition, off_ms)[-1][1] == transition.end


@pytest.mark.parametrize("absurd_ms", [float("nan"), float("inf"), 1e9, -1e9])
def test_an_absurd_time_is_a_user_error(absurd_ms: float) -> None:
    """It names the finger and the range."""
    with pytest.raises(UserError, match=r"thumb: .* ms is out of reach; choose at most 2000 ms"):
        timed_states(HIGH_A_TO_E, {Finger.THUMB: absurd_ms})


def test_a_finger_that_stays_cannot_be_late() -> None:
    """The lower little finger is up in both."""
    with pytest.raises(UserError, match="the lower little finger does not move"):
        heard(HIGH_A_TO_E, {Finger.LOWER_LITTLE: 5.0})
