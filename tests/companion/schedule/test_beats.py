"""Beats, tempo and the errors of a timing."""

from __future__ import annotations

from fractions import Fraction

import pytest

from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.score.model import FREE, Meter, Tempo, Tune
from fingering.errors import UserError
from tests.companion.tune_building import note, notes, tune

CROTCHETS_AT_60 = Tempo(Fraction(1, 4), 60.0)
SIX_EIGHT = Meter(6, 8, "6/8")
CUT = Meter(2, 2, "C|")


def _beats(of: Tune, timing: Timing | None = None) -> list[tuple[float, bool]]:
    return [(round(beat.at_s, 6), beat.first) for beat in build_schedule(of, timing or Timing()).beats]


def test_two_four_has_two_beats_a_bar() -> None:
    """Crotchets, the first of each bar marked."""
    march = tune(*[notes("A A A A")] * 2, tempo=CROTCHETS_AT_60)
    assert _beats(march) == [(0.0, True), (1.0, False), (2.0, True), (3.0, False)]


def test_six_eight_is_counted_in_dotted_crotchets() -> None:
    """Two beats a bar."""
    jig = tune(notes("A A A A A A"), meter=SIX_EIGHT, tempo=Tempo(Fraction(3, 8), 60.0))
    assert _beats(jig) == [(0.0, True), (1.0, False)]


def test_cut_time_is_counted_in_minims() -> None:
    """Two beats a bar of eight quavers."""
    reel = tune(notes("A A A A A A A A"), meter=CUT, tempo=Tempo(Fraction(1, 2), 60.0))
    assert _beats(reel) == [(0.0, True), (1.0, False)]


def test_a_pick_up_leads_into_the_first_beat() -> None:
    """The tune's time begins with the pick-up, its first beat comes when the pick-up is over."""
    march = tune(notes("e"), notes("A A A A"), tempo=CROTCHETS_AT_60, pick_up=True)
    assert _beats(march) == [(0.5, True), (1.5, False)]


def test_a_short_last_bar_and_the_pick_up_of_the_repeat_make_one_bar() -> None:
    """Three quavers and the pick-up's one: the beat goes on without a limp."""
    march = tune(notes("e"), notes("A A A"), tempo=CROTCHETS_AT_60, pick_up=True, order=(0, 1, 0, 1))
    assert _beats(march) == [(0.5, True), (1.5, False), (2.5, True), (3.5, False)]


def test_a_short_bar_within_a_tune_goes_on_in_its_metre() -> None:
    """A part that ends three quavers into a bar and the next part's pick-up of one."""
    march = tune(notes("A A A A"), notes("A A A"), notes("e"), notes("A A A A"), tempo=CROTCHETS_AT_60)
    assert [at for at, _ in _beats(march)] == [0.0, 1.0, 2.0, 3.0, 4.0, 5.0]


def test_a_bar_that_is_all_tied_to_the_one_before_keeps_its_beats() -> None:
    """Its notes have been joined to the bar before, so it has none; time passes in it all the same."""
    half = Fraction(1, 2)
    air = tune([note("A", 2 * half)], [], notes("c c c c"), tempo=CROTCHETS_AT_60, lengths=(half, half, half))
    assert _beats(air) == [(float(at), at % 2 == 0) for at in range(6)]


def test_a_free_metre_is_counted_in_crotchets() -> None:
    """From the start of each bar."""
    assert [at for at, _ in _beats(tune(notes("A A A"), meter=FREE, tempo=CROTCHETS_AT_60))] == [0.0, 1.0]


def test_without_a_tempo_the_beat_is_sixty() -> None:
    """The usual start of a metronome: common practice, no source."""
    assert build_schedule(tune(notes("A A A A")), Timing()).duration_s == pytest.approx(2.0)


def test_a_tempo_asked_for_scales_the_later_ones_too() -> None:
    """A tune that goes from 60 to 120 goes from 30 to 60 when 30 is asked for."""
    faster = Tempo(Fraction(1, 4), 120.0)
    two = tune(*[notes("A A A A")] * 2, tempo=CROTCHETS_AT_60, tempos=(CROTCHETS_AT_60, faster))
    assert build_schedule(two, Timing()).duration_s == pytest.approx(3.0)
    assert build_schedule(two, Timing(beats_per_minute=30.0)).duration_s == pytest.approx(6.0)


def test_a_slow_down_stretches_the_beats() -> None:
    """Twice as slow, twice as far apart."""
    assert _beats(tune(notes("A A A A"), tempo=CROTCHETS_AT_60), Timing(slow_down=2.0)) == [(0.0, True), (2.0, False)]


def test_a_tune_without_notes_is_an_empty_schedule() -> None:
    """No events, no states, no time."""
    schedule = build_schedule(tune([]), Timing())
    assert (schedule.events, schedule.states, schedule.duration_s) == ((), (), 0.0)


@pytest.mark.parametrize("slow_down", [0.99, 0.0, -1.0, 32.1, float("nan"), float("inf")])
def test_a_slow_down_out_of_reach_is_the_users_error(slow_down: float) -> None:
    """1 to 32."""
    with pytest.raises(UserError, match="choose 1 to 32"):
        Timing(slow_down=slow_down)


@pytest.mark.parametrize("tempo", [9.9, 0.0, -60.0, 400.1, float("nan"), float("inf")])
def test_a_tempo_out_of_reach_is_the_users_error(tempo: float) -> None:
    """10 to 400 beats a minute."""
    with pytest.raises(UserError, match="choose 10 to 400"):
        Timing(beats_per_minute=tempo)
