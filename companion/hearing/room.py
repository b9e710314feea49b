"""What a room does: how a note goes on sounding once it is over, learnt from where notes end. Pure functions."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from companion.hearing.path import NO_PITCH, Stretch
from companion.hearing.spectra import Floats
from companion.hearing.voice import Templates

LAGS_S = (0.020, 0.040, 0.060, 0.080, 0.120)
"""How long after a moment its echo is looked for: a window's length at least, so that the note itself is not in it."""

SETTLED_S = 0.010
LEAST_S = 0.060
FADED = 0.003
"""An echo weaker than this (-25 dB) is none: a window's far lobes leave as much."""

STRONG, WEAK = 30.0, 0.01
"""A note's echo is measured where its template stands so far above the ground, and that of the next one so far below."""

ENOUGH_ENDS = 6
MEAN_OF_LOGARITHM = float(np.exp(0.577))
"""What makes a mean of exponentially distributed power from the mean of its logarithm (Euler's constant)."""


def echoes_of(
    powers: Sequence[Floats],
    ways: Sequence[Sequence[Stretch]],
    templates: Templates,
    ground: Floats,
    hop_s: float,
) -> tuple[float, ...]:
    """What share of its power is left of a note after each of LAGS_S; 0 where nothing is heard of it."""
    settled = round(SETTLED_S / hop_s)
    found: list[list[float]] = [[] for _ in LAGS_S]
    for power, way in zip(powers, ways, strict=True):
        for old, new in zip(way, way[1:], strict=False):
            if old.pitch == NO_PITCH or old.stop - old.first < round(LEAST_S / hop_s):
                continue
            bins = _bins_of_its_own(old, new, templates, ground)
            last = old.stop - settled
            if not bins.any() or last - settled < old.first:
                continue
            before = np.log(1e-12 + power[last - settled : last + 1, bins]).mean(axis=0)
            for rank, lag_s in enumerate(LAGS_S):
                after = last + round(lag_s / hop_s)
                if old.stop + settled <= after + 1 and after < min(new.stop - settled + 1, len(power)):
                    found[rank].append(float((np.log(1e-12 + power[after, bins]) - before).mean()))
    shares = [_share(each) for each in found]
    for rank in range(1, len(shares)):  # what could not be measured goes on falling as it did
        if len(found[rank]) < ENOUGH_ENDS:
            shares[rank] = shares[rank - 1] * min(1.0, shares[0])
    return tuple(shares)


def echoed(powers: Floats, echoes: Sequence[float], hop_s: float) -> Floats | None:
    """What echoes of earlier frames are left in each: shape as powers; None where a room leaves nothing."""
    if not any(share > FADED for share in echoes):
        return None
    out = np.zeros_like(powers)
    for lag_s, share in zip(LAGS_S, echoes, strict=True):
        lag = round(lag_s / hop_s)
        if share > FADED and lag < len(powers):
            np.maximum(out[lag:], np.float32(share) * powers[:-lag], out=out[lag:])
    return out


def _bins_of_its_own(old: Stretch, new: Stretch, templates: Templates, ground: Floats) -> NDArray[np.bool_]:
    own = templates.powers[old.pitch]
    bins = own > STRONG * ground
    if new.pitch != NO_PITCH:
        bins &= templates.powers[new.pitch] < WEAK * own
    return bins


def _share(logs: Sequence[float]) -> float:
    if len(logs) < ENOUGH_ENDS:
        return 0.0
    share = float(np.exp(np.median(logs))) * MEAN_OF_LOGARITHM
    return min(0.9, share) if share > FADED else 0.0
