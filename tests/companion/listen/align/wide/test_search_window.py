"""What beginning anew costs, by where and after what, and what a note does by its length: choices, no source."""

from __future__ import annotations

import math

import numpy as np
import pytest

from companion.listen.align.cost.arrays import Floats
from companion.listen.align.cost.tables import Tables
from companion.listen.align.wide.search_window import SearchWindow
from companion.listen.model.segments import Segment
from fingering.notes import Note
from tests.companion.listen.playing import asked_of

TABLES = Tables(asked_of("|:A2B2c2d2|e2f2e2d2|c2B2A2B2|c2d2e2c2|d2e2f2e2|d2c2B2e2:|f2e2d2c2|B2c2d2B2|"))
"""Six bars repeated, then two, each of four places: the first time begins at place 1, the repeat at 25."""


def window(ratio: float | None = None, tables: Tables = TABLES) -> SearchWindow:
    """All of the tune."""
    return SearchWindow(tables, np.arange(tables.size), 0, ratio)


def as_extra(note: Note, lasts_s: float, before: Segment | None = None, tables: Tables = TABLES) -> Floats:
    """What it costs, for each place, that a note is an extra one after it, where `before` was its own."""
    segment = Segment(5, note, 5.0, end_s=5.0 + lasts_s)
    return window(None, tables).heard_as_extra(segment, before, np.full(tables.size, True))


def anew(here: int, reached: int, *, silence_s: float = 0.0, last: Note = Note.F) -> float:
    """What it costs to begin anew at a place."""
    segment = Segment(9, Note.LOW_A, 20.0, silence_s)
    return float(window().begin_anew(here, segment, last)[reached])


def test_beginning_at_a_bar_is_likelier_than_within_one() -> None:
    """12 against 16, and what the distance adds, a little for these few places."""
    assert anew(9, 5) == pytest.approx(12.0 + 3.0 * math.log2(1.0 + 4.0 / 16.0))
    assert anew(9, 6) == pytest.approx(16.0 + 3.0 * math.log2(1.0 + 3.0 / 16.0))


@pytest.mark.parametrize(("places", "cost"), [(16, 3.0), (48, 6.0)])
def test_each_doubling_of_the_distance_makes_it_dearer(places: int, cost: float) -> None:
    """A bar's worth of notes away by 3, three bars' worth by 6; forward by 2 more."""
    here = 1 if places == 48 else 5
    assert anew(here + places, here) == pytest.approx(12.0 + cost)
    forward = anew(here, here + places) - 12.0
    assert forward == pytest.approx(cost + 2.0)


def test_leaping_on_in_the_tune_but_back_on_the_page_is_dearer() -> None:
    """From the end of the part to bar 2 of its repeat by 4; so is going back in the tune but on upon the page."""
    on_and_back = anew(21, 29)
    assert on_and_back == pytest.approx(12.0 + 3.0 * math.log2(1.5) + 2.0 + 4.0)
    back_and_on = anew(29, 21)
    assert back_and_on == pytest.approx(12.0 + 3.0 * math.log2(1.5) + 4.0)


@pytest.mark.parametrize(("silence_s", "less"), [(0.0, 0.0), (0.24, 0.0), (0.25, 5.0), (3.0, 5.0)])
def test_a_stop_of_a_quarter_of_a_second_makes_it_likelier(silence_s: float, less: float) -> None:
    """Who stops, thinks, and begins again."""
    assert anew(9, 5, silence_s=silence_s) == pytest.approx(12.0 + 3.0 * math.log2(1.25) - less)


def test_a_tune_is_played_again_from_its_end_to_its_beginning() -> None:
    """That is hardly anything; from anywhere else it is beginning again."""
    end = TABLES.size - 1
    assert anew(end, 1) == 2.0
    assert anew(end - 1, 1) > 12.0
    assert anew(end, 5) > 12.0
    assert anew(end, 2, last=Note.LOW_A) == 2.0
    assert anew(end, 2, last=Note.LOW_A, silence_s=0.1) > 12.0


def test_a_take_begins_at_the_beginning_or_elsewhere() -> None:
    """At a bar for 6, at another note for 12; the first bar is one as well."""
    first = window().begin_anywhere()
    assert [float(first[place]) for place in (1, 2, 5, 6)] == [6.0, 12.0, 6.0, 12.0]
    assert float(first[0]) == math.inf


def test_a_melody_note_may_be_half_as_long_for_nothing() -> None:
    """Each further halving costs 0.8, up to 2.5; at the learner's own tempo."""
    for ratio in (None, 0.5):
        length_s = ratio or 1.0
        for halvings, cost in ((0, 0.0), (1, 0.0), (3, 1.6), (4, 2.4), (5, 2.5), (6, 2.5)):
            if (lasts_s := length_s / 2.0**halvings) < 0.15:
                heard = window(ratio).heard_as(Segment(1, Note.B, 5.0, end_s=5.0 + lasts_s))
                assert float(heard[2]) == pytest.approx(cost)


@pytest.mark.parametrize(
    ("lasts_s", "cost"), [(0.04, 4.0), (0.09, 4.0), (0.12, 5.25), (0.149, 6.458), (0.2, 6.5), (1.0, 6.5)]
)
def test_an_extra_note_is_dearer_the_longer_it_is(lasts_s: float, cost: float) -> None:
    """4 while it is as short as gracenotes are, 6.5 from 150 ms on."""
    assert float(as_extra(Note.HIGH_A, lasts_s)[2]) == pytest.approx(cost, abs=0.001)


def test_an_extra_note_on_the_way_between_two_is_cheaper() -> None:
    """Low A between D and E costs 2: their fingers may sound it; one that sounds like a swallowed gracenote 0.3."""
    assert float(as_extra(Note.LOW_A, 0.03)[4]) == 2.0
    swallowing = Tables(asked_of("e2A2{AdA}c2d2|"))
    (after_a,) = (place for place in range(1, swallowing.size) if swallowing.note[place] == Note.LOW_A and place < 4)
    assert float(as_extra(Note.LOW_A, 0.03, tables=swallowing)[after_a]) == pytest.approx(0.3)


def test_after_its_own_gracenote_alone_a_wrong_note_is_cheaper() -> None:
    """3 where all that was heard of E is the E gracenote that ends a taorluath; 6.5 after an E that was held."""
    tables = Tables(asked_of("A2{GdGe}e2c2|"))
    (place,) = tables.headed.nonzero()[0].tolist()
    for e_lasted_s, cost in ((0.04, 3.0), (0.09, 3.0), (0.1, 6.5), (0.4, 6.5)):
        e = Segment(4, Note.E, 4.5, end_s=4.5 + e_lasted_s)
        assert float(as_extra(Note.D, 0.3, e, tables)[place]) == cost
    assert float(as_extra(Note.D, 0.3, Segment(4, Note.F, 4.5, end_s=4.54), tables)[place]) == 6.5


def test_a_note_held_on_must_not_end_before_the_next_is_due() -> None:
    """An equal note that it ended before was left out, which is 2.8 more; 0.4 of it is long enough."""
    tables = Tables(asked_of("B2A2{g}A2c2|"))
    held, place = window(1.0, tables), int(np.flatnonzero(tables.note == Note.LOW_A)[1])
    clock = np.full(tables.size, 5.0)
    for share, cost in ((-0.1, 2.8), (0.35, 2.8), (0.45, 0.0)):
        ended = held.ended_before(5.0 + share * float(tables.length_s[place]), clock)
        assert float(ended[place]) == pytest.approx(cost)
    assert not window(None, tables).ended_before(4.0, clock).any()


@pytest.mark.parametrize(("lasts_s", "cost"), [(0.09, 0.0), (0.1, 0.0), (0.125, 1.25), (0.15, 2.5), (0.4, 2.5)])
def test_a_gracenote_is_dearer_the_longer_it_is(lasts_s: float, cost: float) -> None:
    """From a tenth of a second on, 2.5 as a note of its own; another note in its place by 4, and by 2 if it is long."""
    tables = Tables(asked_of("A2{g}B2c2d2|"))
    right = window(None, tables).heard_as(Segment(1, Note.HIGH_G, 5.0, end_s=5.0 + lasts_s))
    wrong = window(None, tables).heard_as(Segment(1, Note.F, 5.0, end_s=5.0 + lasts_s))
    assert float(right[2]) == pytest.approx(cost)
    assert float(wrong[2]) == pytest.approx(4.0 + cost * 4.5 / 2.5)
