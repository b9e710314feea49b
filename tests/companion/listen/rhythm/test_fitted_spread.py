"""What a whole take shows of how far its player's notes stray."""

from __future__ import annotations

import math
from random import Random
from statistics import mean

import pytest

from companion.listen.rhythm.fitted_spread import FEWEST_NOTES, LEAST_SPREAD_S, FittedSpread, Strayed
from companion.listen.rhythm.spread import Spread


def take(player: int, always_s: float, share: float, faults: float = 0.0) -> list[Strayed]:
    """Notes between intervals of a quarter and of three quarters of a second, from a pulse known to half as much."""
    random, strayed = Random(player), []
    for _ in range(160):
        before_s, after_s = random.choice((0.25, 0.75)), random.choice((0.25, 0.75))
        off_s = math.sqrt(1.25) * random.gauss(0.0, math.hypot(always_s, share * before_s))
        off_s += 0.3 * (random.random() < faults)
        strayed.append((off_s, 0.0, 1.25, before_s, after_s))
    return strayed


@pytest.mark.parametrize(("always_s", "share"), [(0.035, 0.0), (0.0, 0.04), (0.03, 0.03)])
def test_both_parts_of_what_a_player_strays_by_are_found(always_s: float, share: float) -> None:
    """To within a fifth, on the average of some players, after a long note and after a short one."""
    fitted = [FittedSpread(take(player, always_s, share)) for player in range(30)]
    for before_s in (0.25, 0.75):
        found_s = mean(each.noise_s(before_s, 0.5) for each in fitted)
        assert found_s == pytest.approx(math.hypot(always_s, share * before_s), rel=0.2)


def test_who_strays_less_beside_short_notes_is_found_to() -> None:
    """By a tenth of the shorter interval: to within a quarter, on the average of some players."""
    found = []
    for player in range(20):
        random, strayed = Random(player), []
        for _ in range(160):
            before_s, after_s = random.choice((0.2, 0.6)), random.choice((0.2, 0.6))
            strayed.append((random.gauss(0.0, 0.1 * min(before_s, after_s)), 0.0, 1.0, before_s, after_s))
        found.append(FittedSpread(strayed))
    assert mean(each.noise_s(0.2, 0.6) for each in found) == pytest.approx(0.02, rel=0.25)
    assert mean(each.noise_s(0.6, 0.2) for each in found) == pytest.approx(0.02, rel=0.25)
    assert mean(each.noise_s(0.6, 0.6) for each in found) > 1.7 * mean(each.noise_s(0.6, 0.2) for each in found)


def test_the_more_notes_a_take_has_the_better_is_known_how_far_its_player_strays() -> None:
    """A standard deviation is known to one part in the root of so many notes, and a little less well."""
    for notes, strangeness in ((25, 1.2), (100, 1.1)):
        assert FittedSpread(take(1, 0.02, 0.0)[:notes]).strangeness == pytest.approx(strangeness)


def test_faults_make_a_player_little_more_unsteady() -> None:
    """One note in twenty 0.3 s late: less than half as much again, where a standard deviation doubles (by hand)."""
    steady, faulty = (FittedSpread(take(3, 0.035, 0.0, faults)) for faults in (0.0, 0.05))
    assert steady.usual_s < faulty.usual_s < 1.5 * steady.usual_s


def test_no_one_strays_less_than_a_few_ms() -> None:
    """However exactly a take was played."""
    assert FittedSpread([(0.0, 0.0, 1.0, 0.5, 0.5)] * FEWEST_NOTES).noise_s(0.5, 0.5) == LEAST_SPREAD_S


def test_too_few_notes_are_not_fitted() -> None:
    """What was learnt from them is kept."""
    spread = Spread(0.5)
    for rank in range(FEWEST_NOTES):
        assert isinstance(spread.fitted(), Spread)
        spread.note((0.01 * (-1) ** rank, 0.0, 1.0, 0.5, 0.5))
    fitted = spread.fitted()
    assert isinstance(fitted, FittedSpread)
    assert fitted.fitted() is fitted
    assert fitted.is_like(spread.fitted())
    assert not fitted.is_like(spread)
    assert not fitted.is_like(FittedSpread([(0.02, 0.0, 1.0, 0.5, 0.5)] * FEWEST_NOTES))
