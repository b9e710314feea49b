"""One crossing as a schedule."""

from __future__ import annotations

from itertools import permutations

import pytest

from companion.schedule.build import build_schedule
from companion.schedule.crossing import (
    HOLD_S,
    NamedTransition,
    crossing_schedule,
    movement_near,
    noises,
    taught_ms,
)
from companion.schedule.events import EventKind
from companion.schedule.lanes import finger_lanes
from companion.schedule.timing import Timing
from fingering.chart import chart
from fingering.crossings.teaching import teach
from fingering.errors import UserError
from fingering.holes import Finger
from fingering.notes import Note
from tests.companion.tune_building import notes, tune

PAIRS = tuple(NamedTransition.between(start, end) for start, end in permutations(Note, 2))


def names(pair: NamedTransition) -> str:
    """The pair as a test's name."""
    return str(pair)


@pytest.mark.parametrize("named", PAIRS, ids=names)
def test_it_holds_the_first_note_then_the_second(named: NamedTransition) -> None:
    """Whoever is late, both ends are held for HOLD_S, and the late finger alone moves last."""
    late = named.transition.movers[0]
    schedule = crossing_schedule(named, {late: 40.0})
    assert (schedule.states[0].state, schedule.states[-1].state) == (chart(named.start), chart(named.end))
    assert schedule.states[0].at_s == 0.0
    assert schedule.states[1].at_s >= HOLD_S
    assert schedule.duration_s - schedule.states[-1].at_s == pytest.approx(HOLD_S)
    assert schedule.states[-2].state.moves_to(schedule.states[-1].state) == (late,)


def test_the_late_finger_is_late_in_its_own_lane() -> None:
    """D to E with the upper ring 40 ms late at a slow-down of 16: its lane opens 640 ms after the others have moved."""
    named = NamedTransition.between(Note.D, Note.E)
    schedule = crossing_schedule(named, {Finger.UPPER_RING: 40.0}, 16.0)
    moves = {lane.finger: lane.stretches[0].end_s for lane in finger_lanes(schedule) if len(lane.stretches) == 2}
    assert set(moves) == set(named.transition.movers)
    others = {at_s for finger, at_s in moves.items() if finger is not Finger.UPPER_RING}
    assert others == {schedule.note_onsets_s[1]}
    assert moves[Finger.UPPER_RING] - others.pop() == pytest.approx(0.640)


def test_an_early_finger_moves_before_the_moment() -> None:
    """The first note is still held for its whole time before it."""
    named = NamedTransition.between(Note.D, Note.E)
    schedule = crossing_schedule(named, {Finger.LOWER_LITTLE: -30.0}, 2.0)
    assert schedule.states[1].at_s == pytest.approx(HOLD_S)
    assert schedule.note_onsets_s[1] == pytest.approx(HOLD_S + 0.060)


@pytest.mark.parametrize(
    ("start", "end", "late", "heard"),
    [
        # Common practice, no source: D to E with the lower hand first blips low A, so does high A to E.
        (Note.D, Note.E, Finger.UPPER_RING, Note.LOW_A),
        (Note.HIGH_A, Note.E, Finger.UPPER_RING, Note.LOW_A),
        (Note.LOW_G, Note.B, Finger.LOWER_RING, Note.LOW_A),
    ],
)
def test_a_late_finger_sounds_the_noise_that_teachers_know(start: Note, end: Note, late: Finger, heard: Note) -> None:
    """One foreign note, as long as the finger is late, stretched by the slow-down."""
    (noise,) = noises(NamedTransition.between(start, end), {late: 40.0}, 4.0)
    assert noise.note is heard
    assert noise.lasts_ms == pytest.approx(40.0)
    assert noise.end_s - noise.start_s == pytest.approx(0.160)


@pytest.mark.parametrize("named", PAIRS, ids=names)
def test_as_taught_nothing_foreign_sounds(named: NamedTransition) -> None:
    """Every pair of notes can be crossed clean, and what is taught does so, reaching the end within some ms."""
    off_ms = taught_ms(teach(named.transition))
    assert set(off_ms) == set(named.transition.movers)
    assert noises(named, off_ms) == ()
    assert max(off_ms.values()) <= 10.0


@pytest.mark.parametrize("named", PAIRS, ids=names)
def test_a_noise_is_a_stretch_of_the_schedule(named: NamedTransition) -> None:
    """Through every noise the schedule holds states on the way that sound its note."""
    for late in named.transition.movers:
        schedule = crossing_schedule(named, {late: 25.0}, 8.0)
        for noise in noises(named, {late: 25.0}, 8.0):
            state = schedule.states[schedule.state_index_at((noise.start_s + noise.end_s) / 2)]
            assert (state.sounds, state.kind) == (noise.note, EventKind.MOVING)


def test_noises_of_one_note_in_a_row_are_one() -> None:
    """Two notes one after the other stay two; two states that sound as one note are one."""
    named = NamedTransition.between(Note.D, Note.E)
    two = noises(named, {Finger.UPPER_RING: 60.0, Finger.LOWER_LITTLE: 20.0})
    assert [(noise.note, noise.lasts_ms) for noise in two] == [(Note.LOW_G, 20.0), (Note.LOW_A, 40.0)]
    rolled = {Finger.LOWER_LITTLE: 20.0, Finger.UPPER_MIDDLE: 50.0, Finger.UPPER_INDEX: 50.0}
    joined = noises(NamedTransition.between(Note.LOW_G, Note.HIGH_G), rolled)
    assert [(noise.note, noise.lasts_ms) for noise in joined] == [(Note.E, 50.0)]


def test_a_finger_that_rests_and_a_time_out_of_reach_are_told() -> None:
    """One line each, as everywhere."""
    named = NamedTransition.between(Note.D, Note.E)
    with pytest.raises(UserError, match="thumb does not move"):
        crossing_schedule(named, {Finger.THUMB: 40.0})
    with pytest.raises(UserError, match="out of reach"):
        crossing_schedule(named, {Finger.UPPER_RING: 5000.0})
    with pytest.raises(UserError, match="slow-down"):
        crossing_schedule(named, {}, 100.0)
    with pytest.raises(UserError, match="no crossing"):
        NamedTransition.between(Note.D, Note.D)


def test_the_movement_around_a_moment_is_the_nearest_one() -> None:
    """Just before and just after a change of note it is that change; a gracenote's change is one too; no rest is."""
    schedule = build_schedule(tune(notes("A c g:c"), notes("z e")), Timing())
    low_a, c, grace, c_again, _, _ = schedule.events
    for at_s in (c.start_s - 0.05, c.start_s, c.start_s + 0.05):
        assert movement_near(schedule, at_s) == NamedTransition.between(Note.LOW_A, Note.C)
    to_grace = movement_near(schedule, grace.start_s + 0.001)
    assert to_grace is not None
    assert (to_grace.start, to_grace.end) == (Note.C, Note.HIGH_G)
    assert to_grace.transition.end == chart(Note.C).lifting(Finger.UPPER_INDEX)
    last = movement_near(schedule, schedule.duration_s)
    assert last is not None
    assert last.transition.end == c_again.state
    assert low_a.state == chart(Note.LOW_A)


def test_where_nothing_moves_there_is_no_movement() -> None:
    """A tune of one held note."""
    assert movement_near(build_schedule(tune(notes("A A")), Timing()), 0.0) is None
