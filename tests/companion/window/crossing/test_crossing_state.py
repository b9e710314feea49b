"""What the crossing screen is, and what each key makes of it."""

from __future__ import annotations

from itertools import permutations

import pytest

from companion.schedule.crossing import NamedTransition
from companion.sound.settings import SoundSettings
from companion.window.core.actions import Action, Seek
from companion.window.crossing.crossing_state import (
    MOST_LATE_MS,
    OPENING_SLOW_DOWN,
    CrossingState,
    Delay,
    Version,
    noise_middle_s,
    open_crossing,
    update,
)
from fingering.holes import Finger
from fingering.notes import Note

PAIRS = tuple(permutations(Note, 2))


def opened(start: Note = Note.D, end: Note = Note.E, delay: Delay | None = None) -> CrossingState:
    """The screen as it opens on two notes."""
    return open_crossing(NamedTransition.between(start, end), SoundSettings(), delay)


def test_it_opens_slow_with_the_fault_that_teachers_know() -> None:
    """D to E: the upper ring finger late sounds low A (common practice, no source)."""
    state = opened()
    assert state.late == (Finger.UPPER_RING, 40.0)
    assert [noise.note for noise in state.noises] == [Note.LOW_A]
    assert state.slow_down == OPENING_SLOW_DOWN


@pytest.mark.parametrize(("start", "end"), PAIRS)
def test_it_opens_with_a_noise_wherever_one_can_be_made(start: Note, end: Note) -> None:
    """A pair whose difficulty is 0 has none to show; every other opens with a finger that makes one."""
    state = opened(start, end)
    assert bool(state.noises) == (state.crossing.difficulty > 0.0)


def test_comma_and_full_stop_choose_who_is_held_back() -> None:
    """All the fingers that move, top first, then none, then round again."""
    state = opened()
    seen = []
    for _ in range(6):
        seen.append(state.delay.finger)
        state = update(state, Action.FINGER_ON, 0.0)
    lower = (Finger.LOWER_INDEX, Finger.LOWER_MIDDLE, Finger.LOWER_RING, Finger.LOWER_LITTLE)
    assert seen == [Finger.UPPER_RING, *lower, None]
    assert state.delay.finger is Finger.UPPER_RING
    assert update(state, Action.FINGER_BACK, 0.0).delay.finger is None


def test_with_no_finger_held_back_all_move_together() -> None:
    """One step from the first state to the last."""
    state = opened(delay=Delay(None))
    assert state.late is None
    assert len(state.schedule.states) == 2


def test_the_arrows_make_it_later_in_steps_of_five_ms() -> None:
    """From 40 up to 200 and down to 0, and no farther; the noise is as long."""
    state = opened()
    assert update(state, Action.MORE_LATE, 0.0).noises[0].lasts_ms == pytest.approx(45.0)
    assert update(state, Action.LESS_LATE, 0.0).delay.ms == 35.0
    for _ in range(60):
        state = update(state, Action.MORE_LATE, 0.0)
    assert state.delay.ms == MOST_LATE_MS == 200.0
    for _ in range(60):
        state = update(state, Action.LESS_LATE, 0.0)
    assert (state.delay.ms, state.late, state.noises) == (0.0, None, ())


def test_x_flips_between_clean_and_faulty() -> None:
    """The clean one is as taught, upper ring first; the fault comes back as it was."""
    faulty = opened()
    clean = update(faulty, Action.FLIP, 0.0)
    assert (clean.version, clean.noises, clean.late) == (Version.TAUGHT, (), None)
    assert clean.schedule.states[0].state.moves_to(clean.schedule.states[1].state) == (Finger.UPPER_RING,)
    again = update(clean, Action.FLIP, 0.0)
    assert (again.version, again.delay, again.noises) == (Version.LATE, faulty.delay, faulty.noises)


def test_asking_for_a_finger_or_a_time_plays_the_fault() -> None:
    """Whoever turns those knobs wants to hear them."""
    clean = update(opened(), Action.FLIP, 0.0)
    for action in (Action.FINGER_ON, Action.MORE_LATE):
        assert update(clean, action, 0.0).version is Version.LATE


def test_the_movement_slows_down_and_the_moment_stays() -> None:
    """Slower: the same moment of the crossing, a longer noise on the clock, the same ms."""
    state = opened()
    middle_s = noise_middle_s(state)
    slower = update(state, Action.SLOWER, middle_s)
    assert slower.slow_down == 24.0
    assert slower.noises[0].end_s - slower.noises[0].start_s == pytest.approx(0.040 * 24.0)
    assert slower.noises[0].start_s <= slower.position_s <= slower.noises[0].end_s
    assert update(slower, Action.FASTER, 0.0).slow_down == 16.0


@pytest.mark.parametrize(("start", "end"), PAIRS)
def test_the_two_notes_never_become_one(start: Note, end: Note) -> None:
    """Each of the two goes up through the scale and round, over the other."""
    state = opened(start, end)
    first = update(state, Action.FIRST_NOTE, 0.0).named
    second = update(state, Action.SECOND_NOTE, 0.0).named
    assert first.end is end
    assert second.start is start
    assert first.start not in (start, end)
    assert second.end not in (start, end)


def test_all_notes_come_round() -> None:
    """Eight presses bring the first note back."""
    state = opened()
    seen = set()
    for _ in range(8):
        seen.add(state.named.start)
        state = update(state, Action.FIRST_NOTE, 0.0)
    assert state.named.start is Note.D
    assert seen == set(Note) - {Note.E}


def test_the_way_back_has_its_own_fault() -> None:
    """E to D: the lower index leads, and late it sounds C; the ms that were set stay."""
    state = update(update(opened(), Action.MORE_LATE, 0.0), Action.REVERSE, 0.0)
    assert (state.named.start, state.named.end) == (Note.E, Note.D)
    assert state.late == (Finger.LOWER_INDEX, 45.0)
    assert [noise.note for noise in state.noises] == [Note.C]


def test_a_step_stands_at_the_next_movement() -> None:
    """From the first note to the others' movement, to the late finger's, and back; a step pauses."""
    state = update(opened(), Action.PLAY, 0.0)
    assert state.playing
    once = update(state, Action.ON, 0.0)
    assert (once.playing, once.position_s) == (False, state.moment_s)
    twice = update(once, Action.ON, once.position_s)
    assert twice.position_s == pytest.approx(state.moment_s + 0.640)
    assert update(twice, Action.BACK, twice.position_s).position_s == state.moment_s


def test_a_seek_stays_inside() -> None:
    """Before the start is the start, after the end the last movement."""
    state = opened()
    assert update(state, Seek(-3.0), 0.0).position_s == 0.0
    assert update(state, Seek(1e6), 0.0).position_s == state.schedule.states[-1].at_s


def test_what_it_does_not_know_changes_nothing() -> None:
    """A key of another screen."""
    state = opened()
    assert update(state, Action.REPEAT, 0.0) == state
