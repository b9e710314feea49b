"""How many times slower than asked a learner plays, as the alignment learns it. All numbers are choices, no source."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from companion.listen.align.cost.tables import Tables
from companion.listen.align.reading.played_tempo import PlayedTempo, tempo_after
from companion.listen.model.segments import Segment
from fingering.notes import Note
from tests.companion.listen.playing import asked_of

TABLES = Tables(asked_of("A2B2c2d2|e2f2e2d2|" * 8))
"""Melody notes a second apart; place 1 is the first of them."""


def after(ratios: Iterable[float], tempo: PlayedTempo | None = None) -> PlayedTempo:
    """Once notes came one after another, each interval so many times as long as asked for."""
    tempo = tempo or tempo_after(PlayedTempo(), TABLES, 1, Segment(0, Note.LOW_A, 1.0))
    for ratio in ratios:
        assert tempo.place is not None
        tempo = tempo_after(tempo, TABLES, tempo.place + 1, Segment(0, Note.B, tempo.onset_s + ratio))
    return tempo


def test_four_intervals_tell_a_tempo() -> None:
    """Three do not."""
    assert after([1.5] * 3).ratio is None
    assert after([1.5] * 4).ratio == pytest.approx(1.5)


def test_it_is_the_median_of_the_last_nine() -> None:
    """Four at another tempo are no change, and five are."""
    nine = after([1.0] * 9)
    assert after([2.0] * 4, nine).ratio == pytest.approx(1.0)
    assert after([2.0] * 5, nine).ratio == pytest.approx(2.0)
    assert len(after([1.0] * 12).ratios) == 9


@pytest.mark.parametrize(("other", "told"), [(1.029, 1.0), (1.031, 1.031), (0.971, 1.0), (0.969, 0.969)])
def test_a_change_of_three_hundredths_makes_no_difference(other: float, told: float) -> None:
    """A larger one does."""
    assert after([other] * 9, after([1.0] * 9)).ratio == pytest.approx(told)


@pytest.mark.parametrize(("played", "told"), [(11.0, 11.0), (20.0, 12.0), (0.09, 0.09), (0.01, 0.08)])
def test_no_tempo_is_beyond_all_bounds(played: float, told: float) -> None:
    """From 12 times slower to 12 times faster."""
    assert after([played] * 4).ratio == pytest.approx(told)


def test_an_interval_with_a_stop_or_a_leap_tells_nothing() -> None:
    """What follows is reckoned from there on."""
    tempo = after([1.0] * 4)
    assert tempo.place == 5
    stopped = tempo_after(tempo, TABLES, 6, Segment(0, Note.B, 90.0, silence_s=0.3))
    back = tempo_after(tempo, TABLES, 2, Segment(0, Note.B, 90.0))
    same = tempo_after(tempo, TABLES, 5, Segment(0, Note.B, 90.0))
    far = tempo_after(tempo, TABLES, 15, Segment(0, Note.B, 90.0))
    for each, place in ((stopped, 6), (back, 2), (same, 5), (far, 15)):
        assert (each.ratios, each.place, each.onset_s) == (tempo.ratios, place, 90.0)
    skipping = tempo_after(tempo, TABLES, 14, Segment(0, Note.B, tempo.onset_s + 18.0))
    assert skipping.ratios[-1] == pytest.approx(2.0)
