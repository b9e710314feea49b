"""The fingering chart and what its hole states sound."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fingering.chart import chart, sounded, sounding_from, vent
from fingering.holes import Finger, HoleState
from fingering.notes import Note

# Common practice, no source: the usual fingering taught for the Highland chanter.
CHART = {
    "G": "x xxx xxxx",
    "A": "x xxx xxxo",
    "B": "x xxx xxoo",
    "c": "x xxx xoox",
    "d": "x xxx ooox",
    "e": "x xxo xxxo",
    "f": "x xoo xxxo",
    "g": "x ooo xxxo",
    "a": "o oox xxxo",
}
PAIRS = tuple(combinations(Note, 2))
NEIGHBOURS = {"GA", "AB", "Ae", "cd", "ef", "fg"}

states = st.integers(0, 255).map(HoleState)


@pytest.mark.parametrize(("letter", "holes"), list(CHART.items()))
def test_the_chart(letter: str, holes: str) -> None:
    """Nine notes, finger by finger."""
    assert str(chart(Note.from_letter(letter))) == holes


def test_of_the_36_pairs_six_move_one_finger_only() -> None:
    """Low G-low A, low A-B, low A-E, C-D, E-F and F-high G: derived from the chart."""
    one = {a.letter + b.letter for a, b in PAIRS if len(chart(a).moves_to(chart(b))) == 1}
    assert len(PAIRS) == 36
    assert one == NEIGHBOURS


def test_19_pairs_move_fingers_both_ways_at_once() -> None:
    """Some open while others close: that is where crossing noises come from. Derived from the chart."""
    both = [1 for a, b in PAIRS if chart(a).lifts_to(chart(b)) and chart(a).drops_to(chart(b))]
    assert len(both) == 19


@pytest.mark.parametrize("note", Note)
def test_a_note_fingered_by_the_chart_sounds_as_itself(note: Note) -> None:
    """The topmost open hole tells the nine apart."""
    assert sounded(chart(note)) is note
    assert vent(note) == chart(note).topmost_open()


@given(states, st.sampled_from(Note))
def test_any_note_can_be_sounded_from_any_state(base: HoleState, note: Note) -> None:
    """From each of the 256 states, the state for a note sounds that note."""
    assert sounded(sounding_from(base, note)) is note


@given(states, st.sampled_from(Note))
def test_sounding_a_note_from_a_state_leaves_what_is_below_its_hole(base: HoleState, note: Note) -> None:
    """Only what must move moves: nothing below the hole that speaks."""
    hole = vent(note)
    below = [finger for finger in Finger if hole is not None and finger > hole]
    made = sounding_from(base, note)
    assert all(made.closed(finger) == base.closed(finger) for finger in below)
