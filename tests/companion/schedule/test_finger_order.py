"""Hole states in time: which finger moves when."""

from __future__ import annotations

from itertools import pairwise, product

import pytest

from companion.schedule.build import MAX_LEAD_SHARE, build_schedule
from companion.schedule.events import EventKind, Schedule
from companion.schedule.timing import Gracing, Timing
from fingering.chart import chart, sounded
from fingering.notes import Note
from tests.companion.tune_building import notes, tune

PAIRS = [(low, high) for low, high in product(Note, Note) if low is not high]
BUSY = "A gAd:A B gcd:c Gdc:d gef:e f GdGe:A g ag:a z e z c gAGAG:A GdGeAfA:e A:g c g:d"


def _played(text: str, timing: Timing | None = None) -> Schedule:
    return build_schedule(tune(notes(text)), timing or Timing())


@pytest.mark.parametrize(("before", "after"), PAIRS)
def test_what_opens_leads_what_closes(before: Note, after: Note) -> None:
    """Between two notes that move fingers both ways there is one moment with the union of their open holes."""
    schedule = _played(f"{before.letter} {after.letter}")
    lifts, drops = chart(before).lifts_to(chart(after)), chart(before).drops_to(chart(after))
    moving = [state for state in schedule.states if state.kind is EventKind.MOVING]
    if lifts and drops:
        assert [state.state for state in moving] == [chart(before).lifting(*lifts)]
    else:
        assert moving == []


@pytest.mark.parametrize(("before", "after"), PAIRS)
def test_what_is_heard_changes_on_the_beat(before: Note, after: Note) -> None:
    """The first state that sounds the new note is at the note's own onset, with the fingers' lead on either side."""
    schedule = _played(f"{before.letter} {after.letter}")
    onset = next(state.at_s for state in schedule.states if state.sounds is after)
    assert onset == schedule.note_onsets_s[1]
    assert {state.sounds for state in schedule.states} == {before, after}


def test_nineteen_pairs_of_notes_move_fingers_both_ways() -> None:
    """Of the 36 pairs, counted in the schedule as in the chart: common practice, no source."""
    both_ways = [
        pair
        for pair in PAIRS
        if pair[0] < pair[1]
        and any(state.kind is EventKind.MOVING for state in _played(f"{pair[0].letter} {pair[1].letter}").states)
    ]
    assert len(both_ways) == 19


@pytest.mark.parametrize("gracing", list(Gracing))
@pytest.mark.parametrize("slow_down", [1.0, 7.0, 32.0])
def test_no_change_moves_a_finger_that_both_ends_agree_on(gracing: Gracing, slow_down: float) -> None:
    """From each event's state to the next one's only fingers that differ move, each once."""
    schedule = _played(BUSY, Timing(slow_down=slow_down, gracing=gracing))
    for index, (old, new) in enumerate(pairwise(schedule.events), start=1):
        way = [old.state, *(each.state for each in schedule.states if each.event == index)]
        moved = [finger for before, after in pairwise(way) for finger in before.moves_to(after)]
        assert sorted(moved) == sorted(old.state.moves_to(new.state))
        assert way[-1] == new.state


@pytest.mark.parametrize("gracing", list(Gracing))
def test_states_are_in_order_of_time_and_leads_are_short(gracing: Gracing) -> None:
    """No movement takes longer than its lead or a quarter of the events that it joins."""
    timing = Timing(slow_down=4.0, gracing=gracing)
    schedule = _played(BUSY, timing)
    longest = timing.lead_s * (4.0 if gracing is Gracing.STRETCH else 1.0)
    assert all(old.at_s <= new.at_s for old, new in pairwise(schedule.states))
    for old, new in pairwise(schedule.states):
        if old.kind is EventKind.MOVING:
            joined = schedule.events[old.event - 1 : old.event + 1]
            shortest = min(event.end_s - event.start_s for event in joined)
            assert new.at_s - old.at_s <= min(longest, MAX_LEAD_SHARE * shortest) + 1e-12


def test_every_state_is_named_by_what_it_sounds() -> None:
    """`sounds` is the note of the state's topmost open hole."""
    assert all(state.sounds is sounded(state.state) for state in _played(BUSY).states)


def test_a_taorluath_lifts_one_finger_for_each_gracenote() -> None:
    """Onto low A: D gracenote `x xxx oxxx`, E gracenote `x xxo xxxo`: common practice, no source."""
    schedule = _played("c GdGe:A")
    states = [str(event.state) for event in schedule.events]
    assert states == ["x xxx xoox", "x xxx xxxx", "x xxx oxxx", "x xxx xxxx", "x xxo xxxo", "x xxx xxxo"]


def test_fingers_stay_in_a_rest_and_arrive_in_silence() -> None:
    """Nothing sounds from the rest's start until the next note's own onset."""
    schedule = _played("e z c")
    rest_s, onset_s = schedule.note_onsets_s[1:]
    resting = [state for state in schedule.states if rest_s <= state.at_s < onset_s]
    assert {state.kind for state in resting} == {EventKind.REST}
    assert resting[0].state == chart(Note.E)
    assert schedule.states[-1].at_s == onset_s
    assert schedule.states[-1].kind is EventKind.MELODY


def test_a_tune_that_begins_with_a_rest_has_the_fingers_ready() -> None:
    """The first note's fingering is already there."""
    first = _played("z c").states[0]
    assert (first.state, first.kind) == (chart(Note.C), EventKind.REST)


def test_the_state_at_a_time_is_the_last_that_began() -> None:
    """At an onset the new state counts; before the start the first one does."""
    schedule = _played("A B")
    onset = schedule.note_onsets_s[1]
    assert schedule.states[schedule.state_index_at(onset)].sounds is Note.B
    assert schedule.states[schedule.state_index_at(onset - 1e-6)].sounds is Note.LOW_A
    assert schedule.state_index_at(-1.0) == 0
    assert schedule.event_index_at(-1.0) == 0
    assert schedule.event_index_at(99.0) == len(schedule.events) - 1
