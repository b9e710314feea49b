"""From how many standard deviations on a note is off its time."""

from __future__ import annotations

from itertools import product

import pytest

from companion.listen.model.strictness import Strictness
from companion.listen.rhythm.off_time import LEAST_SPREADS, USUAL_STRAY, spreads_needed, spreads_needed_one_side
from tests.referees import require_module

USUAL = Strictness.USUAL.limits


def test_who_strays_as_people_do_is_told_from_the_limit_on() -> None:
    """However long the interval; one of no length tells nothing of it."""
    for interval_s in (0.2, 0.5, 2.0):
        found = spreads_needed(USUAL, interval_s, USUAL_STRAY * interval_s)
        assert found == pytest.approx(USUAL.off_time_spreads)
    assert spreads_needed(USUAL, 0.0, 0.03) == USUAL.off_time_spreads


@pytest.mark.same_everywhere
def test_a_fault_is_as_many_times_as_likely_at_the_limit_of_every_player() -> None:
    """One that may come at any time within the interval, against straying (scipy is the referee)."""
    normal = require_module("scipy.stats").norm
    odds = []
    for interval_s, spread_s in product((0.3, 0.6, 1.2), (0.01, 0.02, 0.03)):
        at_s = spread_s * spreads_needed(USUAL, interval_s, spread_s)
        odds.append(1.0 / interval_s / normal.pdf(at_s, scale=spread_s))
    assert odds == pytest.approx([odds[0]] * len(odds))


@pytest.mark.same_everywhere
def test_who_strays_by_much_of_an_interval_is_told_from_less_on_but_not_at_random() -> None:
    """Of right notes, one in 200 lies further off (scipy is the referee)."""
    normal = require_module("scipy.stats").norm
    needed = [spreads_needed(USUAL, 0.5, spread_s) for spread_s in (0.01, 0.02, 0.04, 0.1, 0.3)]
    assert needed == sorted(needed, reverse=True)
    assert needed[-1] == LEAST_SPREADS
    assert 2.0 * normal.sf(LEAST_SPREADS) == pytest.approx(1.0 / 200.0, rel=0.03)


def test_one_side_is_as_sure_as_two() -> None:
    """A right pair is told no oftener than a note that may be off to either side, to one in ten (scipy is the
    referee)."""
    normal = require_module("scipy.stats").norm
    for interval_s, spread_s in product((0.3, 0.6, 1.2), (0.01, 0.03, 0.1)):
        both = 2.0 * normal.sf(spreads_needed(USUAL, interval_s, spread_s))
        assert normal.sf(spreads_needed_one_side(USUAL, interval_s, spread_s)) == pytest.approx(both, rel=0.1)
