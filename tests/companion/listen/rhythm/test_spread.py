"""How far notes may stray, and how that is learnt."""

from __future__ import annotations

from random import Random
from statistics import mean

import pytest

from companion.listen.rhythm.fitted_spread import LEAST_SPREAD_S
from companion.listen.rhythm.spread import Spread
from tests.referees import require_module

INTERVAL_S = 0.5


def after_strays(strays_s: list[float], intervals_s: tuple[float, float] = (INTERVAL_S, INTERVAL_S)) -> Spread:
    """What is believed of a player whose notes strayed so from a pulse known exactly."""
    spread = Spread(INTERVAL_S)
    for off_s in strays_s:
        spread.learn(off_s, 0.0, *intervals_s)
    return spread


def test_a_player_not_yet_heard_strays_as_people_do() -> None:
    """By 2 to 4 % of the interval (tapping, Repp 2005, from memory); never by less than a few ms (common practice)."""
    assert 0.02 * INTERVAL_S < Spread(INTERVAL_S).usual_s < 0.03 * INTERVAL_S
    assert Spread(0.01).noise_s(0.01, 0.01) == LEAST_SPREAD_S
    assert 0.003 < LEAST_SPREAD_S < 0.005


def test_of_a_player_not_yet_heard_the_longer_interval_counts_but_not_all_of_it() -> None:
    """A note between intervals twice as long strays by 1.85 times as much: a choice, no source."""
    spread = Spread(INTERVAL_S)
    assert spread.noise_s(0.5, 1.0) == spread.noise_s(1.0, 0.5) == spread.noise_s(1.0, 1.0)
    assert spread.noise_s(1.0, 1.0) / spread.noise_s(0.5, 0.5) == pytest.approx(1.85)
    assert spread.noise_s(0.5, 0.5) == spread.usual_s


@pytest.mark.same_everywhere
def test_a_stranger_may_stray_further() -> None:
    """Twice as far before the first note, half as much again after it, and a seventh further after many.

    So much more does Student's distribution, 24 degrees of freedom, allow for than a normal one (scipy is the referee).
    """
    stats = require_module("scipy.stats")
    assert Spread(INTERVAL_S).strangeness == 2.0
    assert after_strays([0.0]).strangeness == 1.5
    assert after_strays([0.0] * 50).strangeness == pytest.approx(8.0 / 7.0)
    assert -stats.t.ppf(stats.norm.sf(3.5), 24) / 3.5 == pytest.approx(8.0 / 7.0, rel=0.02)


@pytest.mark.parametrize("share", [0.02, 0.05, 0.09])
def test_what_a_player_strays_by_is_learnt(share: float) -> None:
    """The standard deviation, to within a tenth, on the average of some players."""
    learnt = []
    for player in range(40):
        random = Random(player)
        spread = after_strays([random.gauss(0.0, share * INTERVAL_S) for _ in range(120)])
        learnt.append(spread.usual_s / INTERVAL_S)
    assert mean(learnt) == pytest.approx(share, rel=0.1)


def test_a_fault_is_not_how_a_player_strays() -> None:
    """A note a fifth of a second off widens what is allowed for by no more than one of two standard deviations does."""
    wider = after_strays([0.2]).usual_s / Spread(INTERVAL_S).usual_s
    assert wider == pytest.approx(after_strays([2.0 * 0.025 * INTERVAL_S]).usual_s / Spread(INTERVAL_S).usual_s)
    assert 1.05 < wider < 1.085


def test_nobody_is_exact_and_nobody_is_without_a_pulse() -> None:
    """From 1 to 12 % of the interval (a choice, no source)."""
    assert after_strays([0.0] * 300).usual_s / INTERVAL_S == pytest.approx(0.01)
    assert after_strays([0.3, -0.3] * 150).usual_s / INTERVAL_S == pytest.approx(0.12)


def test_a_pulse_not_known_exactly_has_its_part_in_what_a_note_is_off() -> None:
    """The same strays are less of the player's own where the pulse may be off by as much."""
    unsure = Spread(INTERVAL_S)
    for off_s in (0.02, -0.02) * 30:
        unsure.learn(off_s, 0.02**2, INTERVAL_S, INTERVAL_S)
    assert unsure.usual_s < 0.5 * after_strays([0.02, -0.02] * 30).usual_s


def strays_by(spreads_s: dict[tuple[float, float], float], notes: int) -> Spread:
    """A player whose notes stray by so much between such intervals, in turn."""
    random = Random(5)
    spread = Spread(INTERVAL_S)
    for _ in range(notes):
        for (before_s, after_s), spread_s in spreads_s.items():
            spread.learn(random.gauss(0.0, spread_s), 0.0, before_s, after_s)
    return spread


def test_it_is_learnt_what_strays_go_with() -> None:
    """With the interval before a note, or with none."""
    by_before = strays_by({(1.0, 0.25): 0.040, (0.25, 1.0): 0.010}, 60)
    assert by_before.noise_s(1.0, 0.25) > 2.0 * by_before.noise_s(0.25, 1.0)
    alike = strays_by({(1.0, 1.0): 0.015, (0.25, 0.25): 0.015}, 200)
    assert alike.noise_s(1.0, 1.0) == pytest.approx(alike.noise_s(0.25, 0.25), rel=0.01)


def test_a_few_notes_do_not_yet_tell_what_strays_go_with() -> None:
    """Until one trial has told what was heard seven times better than another, the more lenient one is believed."""
    alike = strays_by({(1.0, 1.0): 0.015, (0.25, 0.25): 0.015}, 1)
    assert alike.noise_s(1.0, 1.0) > 1.5 * alike.noise_s(0.25, 0.25)


def test_the_usual_interval_is_that_of_the_last_notes() -> None:
    """Who goes on to notes half as long strays by half, twenty notes later."""
    spread = after_strays([0.0125, -0.0125] * 20)
    before_s = spread.usual_s
    for off_s in (0.00625, -0.00625) * 20:
        spread.learn(off_s, 0.0, 0.25, 0.25)
    assert spread.usual_s == pytest.approx(0.5 * before_s, rel=0.1)
