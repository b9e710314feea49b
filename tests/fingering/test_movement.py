"""Gracenotes as hole states, finger by finger.

The gracenote sequences are published in Debian lilypond-data, bagpipe.ly; fingerings are common practice, no source.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fingering.chart import chart, sounded, vent
from fingering.holes import ALL_CLOSED, Finger, HoleState
from fingering.movement import gracenote_states
from fingering.notes import Note

E_ROW = "x xxo xxxo"

# What each gracenote of a group is fingered as, in order: gracenotes, the melody note, one hole state a gracenote.
HOLES = [
    ("gGd", "G", "x oxx xxxx", "x xxx xxxx", "x xxx oxxx"),
    ("gAd", "A", "x oxx xxxo", "x xxx xxxo", "x xxx oxxo"),
    ("gBd", "B", "x oxx xxoo", "x xxx xxoo", "x xxx oxoo"),
    ("gcd", "c", "x oxx xoox", "x xxx xoox", "x xxx ooox"),
    ("gde", "d", "x oxx ooox", "x xxx ooox", "x xxo ooox"),
    ("gef", "e", "x oxo xxxo", E_ROW, "x xoo xxxo"),
    ("gfg", "f", "x ooo xxxo", "x xoo xxxo", "x ooo xxxo"),
    ("gf", "g", "x ooo xxxo", "x xoo xxxo"),
    ("ag", "a", "o oox xxxo", "x oox xxxo"),
    ("Gd", "G", "x xxx xxxx", "x xxx oxxx"),
    ("Ad", "A", "x xxx xxxo", "x xxx oxxo"),
    ("Bd", "B", "x xxx xxoo", "x xxx oxoo"),
    ("cd", "c", "x xxx xoox", "x xxx ooox"),
    ("de", "d", "x xxx ooox", "x xxo ooox"),
    ("ef", "e", E_ROW, "x xoo xxxo"),
    ("fg", "f", "x xoo xxxo", "x ooo xxxo"),
    ("aGd", "G", "o xxx xxxx", "x xxx xxxx", "x xxx oxxx"),
    ("aAd", "A", "o xxx xxxo", "x xxx xxxo", "x xxx oxxo"),
    ("aBd", "B", "o xxx xxoo", "x xxx xxoo", "x xxx oxoo"),
    ("acd", "c", "o xxx xoox", "x xxx xoox", "x xxx ooox"),
    ("ade", "d", "o xxx ooox", "x xxx ooox", "x xxo ooox"),
    ("aef", "e", "o xxo xxxo", E_ROW, "x xoo xxxo"),
    ("afg", "f", "o xoo xxxo", "x xoo xxxo", "x ooo xxxo"),
    ("agf", "g", "o ooo xxxo", "x ooo xxxo", "x xoo xxxo"),
    ("gAG", "A", "x oxx xxxo", "x xxx xxxo", "x xxx xxxx"),
    ("gBG", "B", "x oxx xxoo", "x xxx xxoo", "x xxx xxxx"),
    ("gcG", "c", "x oxx xoox", "x xxx xoox", "x xxx xxxx"),
    ("gdG", "d", "x oxx ooox", "x xxx ooox", "x xxx xxxx"),
    ("gdc", "d", "x oxx ooox", "x xxx ooox", "x xxx xoox"),
    ("geA", "e", "x oxo xxxo", E_ROW, "x xxx xxxo"),
    ("gfe", "f", "x ooo xxxo", "x xoo xxxo", E_ROW),
    ("f", "g", "x xoo xxxo"),
    ("g", "a", "x oox xxxo"),
    ("Gdc", "d", "x xxx xxxx", "x xxx ooox", "x xxx xoox"),
    ("GdGc", "d", "x xxx xxxx", "x xxx oxxx", "x xxx xxxx", "x xxx xoox"),
    ("GdG", "A", "x xxx xxxx", "x xxx oxxx", "x xxx xxxx"),
    ("GBG", "A", "x xxx xxxx", "x xxx xxox", "x xxx xxxx"),
    ("GdGe", "A", "x xxx xxxx", "x xxx oxxx", "x xxx xxxx", E_ROW),
    ("GBGe", "A", "x xxx xxxx", "x xxx xxox", "x xxx xxxx", E_ROW),
    ("GdGeAfA", "e", "x xxx xxxx", "x xxx oxxx", "x xxx xxxx", E_ROW, "x xxx xxxo", "x xox xxxo", "x xxx xxxo"),
    ("GBGeAfA", "e", "x xxx xxxx", "x xxx xxox", "x xxx xxxx", E_ROW, "x xxx xxxo", "x xox xxxo", "x xxx xxxo"),
    ("AGAG", "A", "x xxx xxxo", "x xxx xxxx", "x xxx xxxo", "x xxx xxxx"),
    ("GAG", "A", "x xxx xxxx", "x xxx xxxo", "x xxx xxxx"),
    ("gAGAG", "A", "x oxx xxxo", "x xxx xxxo", "x xxx xxxx", "x xxx xxxo", "x xxx xxxx"),
    ("dAGAG", "A", "x xxx oxxo", "x xxx xxxo", "x xxx xxxx", "x xxx xxxo", "x xxx xxxx"),
    ("gBGBG", "B", "x oxx xxoo", "x xxx xxoo", "x xxx xxxx", "x xxx xxoo", "x xxx xxxx"),
    ("gBeBG", "B", "x oxx xxoo", "x xxx xxoo", "x xxo xxoo", "x xxx xxoo", "x xxx xxxx"),
]

notes = st.sampled_from(Note)
groups = st.lists(notes, max_size=12)


def read(letters: str) -> list[Note]:
    """The notes that ABC letters stand for."""
    return [Note.from_letter(letter) for letter in letters]


@pytest.mark.parametrize(("letters", "onto", "holes"), [(row[0], row[1], row[2:]) for row in HOLES])
def test_the_hole_states_of_an_embellishment(letters: str, onto: str, holes: tuple[str, ...]) -> None:
    """Finger by finger."""
    states = gracenote_states(read(letters), Note.from_letter(onto))
    assert tuple(map(str, states)) == holes


LIFTED = {
    Note.D: Finger.LOWER_INDEX,
    Note.E: Finger.UPPER_RING,
    Note.F: Finger.UPPER_MIDDLE,
    Note.HIGH_G: Finger.UPPER_INDEX,
    Note.HIGH_A: Finger.THUMB,
}


@pytest.mark.parametrize(("note", "onto"), [(note, onto) for note in LIFTED for onto in Note if onto < note])
def test_an_upper_gracenote_is_one_finger_lifted(note: Note, onto: Note) -> None:
    """From any melody note below it, and nothing else moves."""
    (state,) = gracenote_states([note], onto)
    assert chart(onto).moves_to(state) == (LIFTED[note],)


def test_a_strike_on_e_moves_the_upper_ring_finger_only() -> None:
    """The lower hand is in its low A place already."""
    (state,) = gracenote_states(read("A"), Note.E)
    assert chart(Note.E).moves_to(state) == (Finger.UPPER_RING,)


@pytest.mark.parametrize("onto", [Note.LOW_A, Note.B, Note.C, Note.D])
def test_a_strike_on_the_lower_hand_shuts_what_is_open(onto: Note) -> None:
    """The tap falls on the open holes and leaves the upper hand alone."""
    (state,) = gracenote_states([Note.LOW_G], onto)
    assert state == ALL_CLOSED
    assert set(chart(onto).moves_to(state)) == set(chart(onto).open_fingers())


@given(groups, notes)
def test_every_gracenote_sounds_as_written(group: list[Note], onto: Note) -> None:
    """Whatever the group: what the catalogue lacks is still played."""
    assert [sounded(state) for state in gracenote_states(group, onto)] == group


@given(groups, notes)
def test_no_finger_below_the_hole_that_speaks_is_moved(group: list[Note], onto: Note) -> None:
    """Fingers down to its vent are at work to make a gracenote: never a whole fingering anew."""
    group = [note for note in group if note is not onto]
    states = [*gracenote_states(group, onto), chart(onto)]
    for earlier, note, later in zip(states, group, states[1:], strict=False):
        hole = vent(note)
        allowed = [finger for finger in Finger if hole is None or finger <= hole]
        assert set(earlier.moves_to(later)) <= set(allowed)


@given(groups, notes)
def test_repeating_a_gracenote_moves_no_finger(group: list[Note], onto: Note) -> None:
    """A gracenote that is written twice is fingered as the first time."""
    once = gracenote_states(group, onto)
    twice = gracenote_states([note for note in group for _ in range(2)], onto)
    assert twice == tuple(state for state in once for _ in range(2))


def test_a_melody_note_alone_has_no_gracenote_states() -> None:
    """Nothing in, nothing out."""
    assert gracenote_states((), Note.LOW_A) == ()
    assert isinstance(chart(Note.LOW_A), HoleState)
