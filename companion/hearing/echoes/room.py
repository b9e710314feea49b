"""What a room does: how a note goes on sounding once it is over, learnt from where notes end. Pure functions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from companion.hearing.path import NO_PITCH, HeardStretch
from companion.hearing.spectra import Floats
from companion.hearing.voice import Templates

LAGS_S = (0.020, 0.040, 0.060, 0.080, 0.120)
"""How long after a moment its echo is looked for: a window's length at least, so that the note itself is not in it."""

SETTLED_S = 0.010
LEAST_S = 0.060
FADED = 0.003
"""An echo weaker than this (-25 dB) is none: a window's far lobes leave as much."""

STRONG, WEAK = 30.0, 0.01
"""An echo is measured where its template stands so far above the ground, that of the next so far below."""

LEAST_LEFT = 1e-4
"""What stands twice above the ground is left of a note, and not less than 40 dB below it, which is nothing."""

MOST_SHARE, SHORTEST_DECAY_S, LONGEST_DECAY_S = 0.85, 0.008, 0.5

UNENDED_NATS, UNENDED_S = -0.3, 0.050
"""What is left of a note after so long and is louder than that, as a natural logarithm, has not ended: it was named
wrongly, before or after."""

STRAY_NATS, ALIKE_STRAY_NATS = 1.2, 2.7
"""The stray of what is left of one note, as a natural logarithm; and where few notes tell, each of which, if it was
named wrongly, is so after each of LAGS_S."""

SLOPE_SPREAD, START_SPREAD = 15.0, 1.5
"""The stray of rooms from the one that is expected: in nats a second, and at the note's end."""

MEAN_OF_LOGARITHM = float(np.exp(0.577))
"""What makes a mean of exponentially distributed power from the mean of its logarithm (Euler's constant)."""


@dataclass(frozen=True, slots=True)
class RoomEcho:
    """share: what part of a note that goes on is its own echo, as power. decay_s: in which an echo falls to 1/e."""

    share: float
    decay_s: float

    @property
    def rt60_s(self) -> float:
        """The time in which an echo falls by 60 dB."""
        return float(np.log(1e6)) * self.decay_s

    def share_after(self, delay_s: float) -> float:
        """What share of the power is left so long after a note's end."""
        return self.share * float(np.exp(-delay_s / self.decay_s))


@dataclass(frozen=True, slots=True)
class EchoNeeds:
    """How many notes' ends an echo is believed by. ends: for one of LAGS_S to count. lags: how many of these must.
    expected: what a room is taken for as far as these leave it open; None where they are many. stray_nats: the stray of
    what is left of one note."""

    ends: int
    lags: int
    expected: RoomEcho | None = None
    stray_nats: float = STRAY_NATS


MANY_ENDS = EchoNeeds(ends=6, lags=2)

USUAL_ROOM = RoomEcho(share=0.5, decay_s=0.025)
"""10 ms after a note's end there is left a tenth to a half in our rooms, less than a hundredth where there is none."""

LAGS_OF_A_SLOPE = 3
"""Of how many of LAGS_S enough ends must tell for these alone to say how a room fades. By fewer, 20 ms apart, one in
forty of our rooms of 0.4 s seemed to echo for 0.6 to 7 s."""


def echoes_of(
    powers: Sequence[Floats],
    ways: Sequence[Sequence[HeardStretch]],
    templates: Templates,
    ground: Floats,
    hop_s: float,
    needs: EchoNeeds = MANY_ENDS,
    known: RoomEcho | None = None,
) -> RoomEcho | None:
    """The echo of a room, by what is left of a note after each of LAGS_S; None where too little is.

    needs: how many notes' ends say enough. known: what is returned where there are too few.
    """
    found: list[list[float]] = [[] for _ in LAGS_S]
    for power, way in zip(powers, ways, strict=True):
        for old, new in pairwise(way):
            if old.pitch == NO_PITCH or old.stop - old.first < round(LEAST_S / hop_s):
                continue
            lefts = _left_of(old, new, power, _bins_of_its_own(old, new, templates, ground), ground, hop_s)
            if all(left <= UNENDED_NATS or LAGS_S[rank] <= UNENDED_S for rank, left in lefts.items()):
                for rank, left in lefts.items():
                    found[rank].append(left)
    enough = sum(len(each) >= needs.ends for each in found)
    if enough < needs.lags:
        return known
    if enough < LAGS_OF_A_SLOPE and needs.expected is None:
        needs = EchoNeeds(1, needs.lags, known or USUAL_ROOM, ALIKE_STRAY_NATS)
    return _fit(found, needs)


def _left_of(
    old: HeardStretch, new: HeardStretch, power: Floats, bins: NDArray[np.bool_], ground: Floats, hop_s: float
) -> dict[int, float]:
    """What is left of a note, as a natural logarithm, by the rank of each of LAGS_S that lies within the next one."""
    settled = round(SETTLED_S / hop_s)
    last = old.stop - settled
    if not bins.any() or last - settled < old.first:
        return {}
    before = np.log(1e-12 + power[last - settled : last + 1, bins]).mean(axis=0)
    out = {}
    for rank, lag_s in enumerate(LAGS_S):
        after = last + round(lag_s / hop_s)
        if old.stop + settled <= after + 1 and after < min(new.stop - settled + 1, len(power)):
            left = np.maximum(power[after, bins] - 2.0 * ground[bins], LEAST_LEFT * np.exp(before))
            out[rank] = float((np.log(1e-12 + left) - before).mean())
    return out


def _fit(found: Sequence[Sequence[float]], needs: EchoNeeds) -> RoomEcho | None:
    """The line through the logarithms of what is left."""
    lags_s, logs, weights = [], [], []
    for lag_s, each in zip(LAGS_S, found, strict=True):
        if len(each) >= needs.ends:
            lags_s.append(lag_s - SETTLED_S)
            logs.append(max(float(np.median(each)) + 0.577, float(np.log(FADED))))
            weights.append(len(each) ** 0.5)
    if needs.expected is None:
        slope, start = np.polyfit(lags_s, logs, 1, w=weights)
    else:
        slope, start = _line_near(needs.expected, lags_s, logs, np.array(weights) / needs.stray_nats)
    share, decay_s = float(np.exp(min(0.0, start))), float(-1.0 / min(slope, -1.0))
    if share * np.exp(-SETTLED_S / decay_s) < FADED * 10.0 or decay_s < SHORTEST_DECAY_S:
        return None
    return RoomEcho(min(MOST_SHARE, share), min(decay_s, LONGEST_DECAY_S))


def _line_near(
    expected: RoomEcho, lags_s: Sequence[float], logs: Sequence[float], weights: NDArray[np.float64]
) -> NDArray[np.float64]:
    """The slope and start of the line that is likeliest where rooms are expected to be like one. weights: 1 over what
    each of the logarithms may be off."""
    rows = np.column_stack((lags_s, np.ones(len(lags_s)))) * weights[:, np.newaxis]
    values = np.array(logs) * weights
    slope, start = -1.0 / expected.decay_s, np.log(expected.share)
    rows = np.concatenate((rows, [[1.0 / SLOPE_SPREAD, 0.0], [0.0, 1.0 / START_SPREAD]]))
    values = np.concatenate((values, [slope / SLOPE_SPREAD, start / START_SPREAD]))
    found: NDArray[np.float64] = np.linalg.lstsq(rows, values, rcond=None)[0].astype(np.float64)
    return found


def echoed(powers: Floats, echo: RoomEcho, hop_s: float, lags_s: Sequence[float] = LAGS_S) -> Floats:
    """The echoes of earlier frames that are left in each: shape as powers. lags_s: how long before.

    Of all that may still sound, what is loudest: after a note's end that is the note, and whatever came before is less.
    """
    out = np.zeros_like(powers)
    for lag_s in lags_s:
        lag = round(lag_s / hop_s)
        if lag < len(powers):
            np.maximum(out[lag:], np.float32(echo.share_after(lag_s - SETTLED_S)) * powers[:-lag], out=out[lag:])
    return out


def _bins_of_its_own(old: HeardStretch, new: HeardStretch, templates: Templates, ground: Floats) -> NDArray[np.bool_]:
    own = templates.powers[old.pitch]
    bins: NDArray[np.bool_] = own > STRONG * ground
    if new.pitch != NO_PITCH:
        bins &= templates.powers[new.pitch] < WEAK * own
    return bins
