"""A set of tunes in a row, as one tune: in time, each at its own tempo, its notes in one order."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.score.model import COMMON_TIME, Meter, Tempo
from companion.score.tune_set import Standing, joined, standing
from tests.companion.tune_building import notes, tune

SIX_EIGHT = Meter(6, 8, "6/8")
MARCH = tune(notes("e e"), notes("A c e a A c e a"), notes("A c e a A c"), meter=COMMON_TIME, pick_up=True)
JIG = tune(notes("A c e a c e"), meter=SIX_EIGHT, tempo=Tempo(Fraction(3, 8), 60.0))


def test_the_last_bar_leads_into_the_next_tunes_pick_up() -> None:
    """The march's last bar lacks the two quavers with which it begins again: the beat goes on without a limp."""
    schedule = build_schedule(joined((MARCH, MARCH)), Timing(beats_per_minute=60.0))
    beats = [beat.at_s for beat in schedule.beats]
    assert [later - earlier for earlier, later in pairwise(beats)] == pytest.approx([1.0] * 15)
    firsts = [beat.at_s for beat in schedule.beats if beat.first]
    assert firsts == pytest.approx([1.0, 5.0, 9.0, 13.0])


def test_each_tune_has_its_own_tempo_and_metre() -> None:
    """Crotchets at 60 by default, then dotted crotchets at 60."""
    schedule = build_schedule(joined((MARCH, JIG)), Timing())
    alone = build_schedule(JIG, Timing())
    begins_s = build_schedule(MARCH, Timing()).duration_s
    assert schedule.duration_s == pytest.approx(begins_s + alone.duration_s)
    later = [beat.at_s - begins_s for beat in schedule.beats if beat.at_s >= begins_s - 1e-6]
    assert later == pytest.approx([beat.at_s for beat in alone.beats])


def test_the_tune_before_stays_as_it_was() -> None:
    """So that whoever plays it need not stop where another is added."""
    both = joined((MARCH, JIG))
    assert both.bars[: len(MARCH.bars)] == MARCH.bars
    assert both.order[: len(MARCH.order)] == MARCH.order
    assert both.parts[: len(MARCH.parts)] == MARCH.parts


def test_notes_are_ranked_and_parts_stand_in_one_order() -> None:
    """As in any tune."""
    three = joined((MARCH, JIG, MARCH))
    assert [note.rank for note in three.notes] == list(range(len(three.notes)))
    stops = [part.stop for part in three.parts]
    assert stops == sorted(stops)
    assert stops[-1] == len(three.bars)


def test_a_set_says_which_tune_is_played_and_which_comes() -> None:
    """By turns of the joined tune."""
    tunes = (MARCH, JIG, MARCH)
    titles = [each.title for each in tunes]
    turns = [0, len(MARCH.order) - 1, len(MARCH.order), len(MARCH.order) + 1]
    assert [standing(tunes, turn) for turn in turns] == [
        Standing(titles[0], titles[1]),
        Standing(titles[0], titles[1]),
        Standing(titles[1], titles[2]),
        Standing(titles[2], ""),
    ]
