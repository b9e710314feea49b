"""What was played in, kept as moments and seen finger by finger."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.listen.model.played import Fingered, Sounded
from companion.window.lanes.trail import (
    FINEST_S,
    REST,
    Moment,
    Trail,
    lanes_of,
    moment_after,
    moments_of,
    sounding_runs,
)
from fingering.chart import chart
from fingering.holes import ALL_CLOSED, Finger, HoleState
from fingering.notes import Note


def test_a_note_is_fingered_as_in_the_chart() -> None:
    """Where only the note is told."""
    assert moment_after(REST, Sounded(1.0, Note.E)) == Moment(1.0, chart(Note.E), Note.E)


def test_holes_name_the_note_that_they_sound() -> None:
    """An E with the ring finger still down sounds low A (common practice, no source)."""
    late = chart(Note.E).dropping(Finger.UPPER_RING)
    assert moment_after(REST, Fingered(1.0, late)) == Moment(1.0, late, Note.LOW_A)


def test_silence_leaves_the_fingers_where_they_are() -> None:
    """Between two notes of an instrument that tells notes only, no finger flies up."""
    moments = list(moments_of([Sounded(1.0, Note.B), Sounded(1.1, None)]))
    assert moments[-1] == Moment(1.1, chart(Note.B), None)


def test_what_holds_at_the_start_of_a_stretch_belongs_to_it() -> None:
    """Also when it began long before."""
    trail = Trail(60.0)
    for at_s in (0.0, 5.0, 6.0, 9.0):
        trail.add(Moment(at_s))
    assert [each.at_s for each in trail.between(5.5, 7.0)] == [5.0, 6.0]
    assert trail.between(-2.0, -1.0) == ()


def test_what_is_old_is_forgotten() -> None:
    """The oldest moment that is kept is the one that holds at the start of the time that is kept."""
    trail = Trail(1.0)
    for rank in range(1000):
        trail.add(Moment(rank / 100))
    assert 8.0 <= trail.between(0.0, 10.0)[0].at_s <= trail.between(0.0, 10.0)[-1].at_s - 1.0


def test_changes_closer_than_can_be_drawn_become_one() -> None:
    """1,000 changes a second leave no more than 1 / FINEST_S moments, and the last one is what holds."""
    trail = Trail(60.0)
    for rank in range(1000):
        trail.add(Moment(rank / 1000, HoleState(rank % 256)))
    moments = trail.between(0.0, 1.0)
    assert len(moments) <= 1 / FINEST_S + 1
    assert moments[-1].state == HoleState(999 % 256)


def test_a_trail_can_be_cut() -> None:
    """All from there on is forgotten."""
    trail = Trail(60.0)
    for at_s in (1.0, 2.0, 3.0):
        trail.add(Moment(at_s))
    trail.cut(2.0)
    assert [each.at_s for each in trail.between(0.0, 9.0)] == [1.0]


@given(st.lists(st.tuples(st.floats(0.0, 100.0), st.integers(0, 255)), min_size=1, max_size=30))
def test_lanes_tell_the_same_as_the_moments(played: list[tuple[float, int]]) -> None:
    """At every moment each finger's lane is closed if and only if the hole is; lanes have no gaps."""
    moments = [Moment(at_s, HoleState(bits)) for at_s, bits in sorted(dict(played).items())]
    lanes = lanes_of(moments, 101.0)
    for moment in moments:
        for lane in lanes:
            assert lane.stretches[lane.index_at(moment.at_s)].closed == moment.state.closed(lane.finger)
    for lane in lanes:
        assert all(one.end_s == after.start_s for one, after in pairwise(lane.stretches))


def test_a_finger_closes_its_hole_from_when_to_when() -> None:
    """Silence ends a run though the finger stays."""
    moments = [Moment(1.0, ALL_CLOSED, Note.LOW_G), Moment(2.0, ALL_CLOSED), Moment(3.0, ALL_CLOSED, Note.LOW_G)]
    assert list(sounding_runs(moments, 4.0, Finger.THUMB)) == [(1.0, 2.0), (3.0, 4.0)]
    assert list(sounding_runs([], 4.0, Finger.THUMB)) == []


@pytest.mark.parametrize("finger", Finger)
def test_an_open_hole_has_no_run(finger: Finger) -> None:
    """Whichever finger is lifted."""
    moments = [Moment(1.0, ALL_CLOSED.lifting(finger), Note.LOW_A)]
    assert [f for f in Finger if not list(sounding_runs(moments, 2.0, f))] == [finger]
