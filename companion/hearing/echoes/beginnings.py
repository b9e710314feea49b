"""How a note sounds in a room before its own echo has come up, learnt from where notes begin. Pure functions.

A steady note is the direct sound and its echo, which strengthen each other in some bins and weaken each other in
others. In its first 20 ms there is little but the direct sound: a bin strays from the steady note's by 5 dB, but from
one beginning of a note to the next by 2 to 3.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from companion.hearing.echoes.room import RoomEcho, echoed
from companion.hearing.path import NO_PITCH, HeardStretch
from companion.hearing.spectra import Floats, FrameGrid
from companion.hearing.voice import DECIBELS, LearntVoice, Templates, without_foreign_lines

FIRST_FRAME, LAST_FRAME = 3, 8
"""A beginning is looked at from 7 to 20 ms: before, the window holds much of the last note, later echo comes up."""

ROOM_FRAMES = 2
"""How much longer a note must last to be looked at."""

FOREIGN_ECHO = 0.25
"""A bin is learnt from where the echo of what came before is this much of the direct sound at most."""

EXPECTED_DB = -2.0
"""How far below a steady note a beginning lies, before any was heard: in the mean of our rooms."""

BETWEEN_DB2, WITHIN_DB2 = 22.0, 8.0
"""How far bins stray from that mean, and from one beginning of a note to the next, as variances in dB squared."""

STRONG = 10.0
LEAST = 0.03
"""A template so far above the ground tells of the mean; no beginning is weaker than that share of the ground."""


@dataclass(frozen=True, slots=True, eq=False)
class Beginnings:
    """By how many dB each bin of a pitch that begins lies above the steady pitch with its ground, and how far it
    strays from that, in dB squared: both of shape (pitches, bins)."""

    over_db: NDArray[np.float64]
    variance: NDArray[np.float64]

    def templates(self, steady: Templates, ground: Floats, voice: LearntVoice, grid: FrameGrid) -> Templates:
        """Templates of each pitch as it begins. steady: those of it later."""
        powers = (steady.powers + ground) * np.exp(self.over_db / DECIBELS) - ground
        own = np.stack([without_foreign_lines(power, grid, hz) for power, hz in zip(powers, voice.hz, strict=True)])
        return Templates(np.maximum(own, LEAST * ground).astype(np.float32), self.variance.astype(np.float32))


def expected_beginnings(steady: Templates) -> Beginnings:
    """Beginnings as they may be expected, before any was heard."""
    shape = steady.powers.shape
    return Beginnings(np.full(shape, EXPECTED_DB), np.full(shape, WITHIN_DB2 + BETWEEN_DB2))


def beginnings_of(
    powers: Sequence[Floats],
    ways: Sequence[Sequence[HeardStretch]],
    steady: Templates,
    ground: Floats,
    echo: RoomEcho,
    hop_s: float,
) -> Beginnings:
    """How pitches begin, by where they did. powers, ways: of each piece its frames, shape (frames, bins), and the way
    through it. The rarer a beginning was seen, the nearer it stays to the mean of all."""
    told = steady.powers + ground
    sums, counts = np.zeros(told.shape), np.zeros(told.shape)
    for power, way in zip(powers, ways, strict=True):
        left = echoed(power, echo, hop_s)
        for _, each in pairwise(way):
            if each.pitch == NO_PITCH or each.stop - each.first < LAST_FRAME + ROOM_FRAMES:
                continue
            part = slice(each.first + FIRST_FRAME, each.first + LAST_FRAME)
            clear = left[part].mean(axis=0) < FOREIGN_ECHO * (1.0 - echo.share) * told[each.pitch]
            seen = np.log(np.maximum(power[part], 0.1 * ground)).mean(axis=0)
            sums[each.pitch] += np.where(clear, DECIBELS * (seen - np.log(told[each.pitch])), 0.0)
            counts[each.pitch] += clear
    strong = steady.powers > STRONG * ground
    mean = sums[strong].sum() / counts[strong].sum() if counts[strong].any() else EXPECTED_DB
    over = (BETWEEN_DB2 * sums + WITHIN_DB2 * mean) / (BETWEEN_DB2 * counts + WITHIN_DB2)
    variance = WITHIN_DB2 + 1.0 / (counts / WITHIN_DB2 + 1.0 / BETWEEN_DB2)
    return Beginnings(np.where(steady.powers > ground, over, mean), variance)
