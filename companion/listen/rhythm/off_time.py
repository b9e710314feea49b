"""How far off its time a note must be for that to be a fault and not the player's unsteadiness."""

from __future__ import annotations

import math

from companion.listen.model.strictness import Limits

USUAL_STRAY = 0.04
"""The standard deviation, as a share of the shorter interval beside a note, for which `Limits.off_time_spreads` holds:
4 % of an interval, what people stray by who are no musicians (tapping, Repp 2005, from memory)."""

LEAST_SPREADS = 2.8
"""However much a player strays, no note is off its time before so many: of right ones, one in 200 is further off by
chance (a normal distribution)."""


def spreads_needed(limits: Limits, shorter_s: float, spread_s: float) -> float:
    """Return from how many standard deviations on a note is off its time, that strays by `spread_s` and has an interval
    of `shorter_s` on its shorter side.

    A fault may come at any time within the interval, so that how likely it makes any one moment is one over the
    interval; straying makes a moment that is z standard deviations off as likely as exp(-z²/2) over one of them. The
    limit is where one is as many times as likely as the other for every player and note: who strays by more of an
    interval is told from fewer standard deviations on, since there is less room left in which only a fault can be.
    """
    of_usual = shorter_s * USUAL_STRAY / spread_s
    if of_usual <= 0.0:
        return limits.off_time_spreads
    return math.sqrt(max(limits.off_time_spreads**2 + 2.0 * math.log(of_usual), LEAST_SPREADS**2))


def spreads_needed_one_side(limits: Limits, shorter_s: float, spread_s: float) -> float:
    """Return the same where a note can be off to one side only, for right ones to be told no oftener than to either.

    Half as likely to be further off is what is so by z² less 2 ln 2 (a normal distribution, to one in fifty from 2.8
    on: 2.54 for 2.8, of which the exact value is 2.57, and 3.30 for 3.5, 3.31).
    """
    return math.sqrt(spreads_needed(limits, shorter_s, spread_s) ** 2 - 2.0 * math.log(2.0))
