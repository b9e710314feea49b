"""Finds which pitches are held in a sound that nothing is known of yet, but that a chanter of one bore makes them."""

from __future__ import annotations

from collections import deque

import numpy as np

from companion.hearing.scale_fit import GRID_CENTS, Bore, comb
from companion.hearing.spectra import Floats, FrameGrid

LIKE = 0.6
"""A pitch is heard where a frame's spectrum is so like its comb: notes are by 0.75 and more, talk by 0.5, on trial."""

HELD_S = 0.5
STRAY_CENTS = 30.0
"""A note is held while its pitch strays no further for so long."""

BELOW_CENTS, ABOVE_CENTS = -350.0, 1350.0
"""Where pitches are looked for, from the lowest low A and the highest on: low G to high A, and some room."""

LEAST_POWER = 1e-9
ROW_S, FLOOR_S = 0.1, 10.0
FLOORS = 4.0
"""Four times the least power of any tenth of a second, of ten seconds, is background: drones that sounded before."""


class HeldPitches:
    """Follows the pitch of one bore's chanter, frame by frame, and tells which pitches were held for half a second.

    likeness: the mean over all frames in which anything sounded.
    """

    def __init__(self, bore: Bore, grid: FrameGrid) -> None:
        low_hz, high_hz = bore.low_a_hz
        first_hz = low_hz * 2.0 ** (BELOW_CENTS / 1200.0)
        steps = int((1200.0 * np.log2(high_hz / low_hz) + ABOVE_CENTS - BELOW_CENTS) / GRID_CENTS)
        self._hz = first_hz * 2.0 ** (np.arange(steps) * GRID_CENTS / 1200.0)
        self._combs = np.stack([comb(float(hz), grid, bore) for hz in self._hz])
        self._least = round(HELD_S / grid.hop_s)
        self._run: list[float] = []
        self._sum, self._count = 0.0, 0
        self._row_frames = round(ROW_S / grid.hop_s)
        self._row: list[Floats] = []
        self._rows: deque[Floats] = deque(maxlen=round(FLOOR_S / ROW_S))

    @property
    def likeness(self) -> float:
        """How like a chanter of this bore the sound was on the whole."""
        return self._sum / max(1, self._count)

    @property
    def sounding_hz(self) -> float | None:
        """The pitch that sounds, since some frames; None where there is none."""
        return float(np.median(self._run)) if len(self._run) * 5 >= self._least else None

    @property
    def share_held(self) -> float:
        """How much of half a second it has been held, 0 to 1."""
        return min(1.0, len(self._run) / self._least)

    def follow(self, powers: Floats) -> list[float]:
        """Take in frames; the pitches (Hz) of which each has become a held one among them."""
        loud = powers.sum(axis=1) > LEAST_POWER
        shapes = np.sqrt(np.sqrt(np.maximum(powers - self._floor(powers), 0.0)))
        loud &= shapes.max(axis=1, initial=0.0) > 0.0
        likeness = shapes @ self._combs.T / np.maximum(np.linalg.norm(shapes, axis=1, keepdims=True), 1e-9)
        found: list[float] = []
        for rank, sounds in enumerate(loud):
            best = int(likeness[rank].argmax())
            value = float(likeness[rank, best])
            if sounds:
                self._sum, self._count = self._sum + value, self._count + 1
            if not sounds or value < LIKE:
                self._run.clear()
                continue
            hz = float(self._hz[best])
            if self._run and abs(1200.0 * np.log2(hz / np.median(self._run))) > STRAY_CENTS:
                self._run.clear()
            self._run.append(hz)
            if len(self._run) == self._least:
                found.append(float(np.median(self._run)))
        return found

    def _floor(self, powers: Floats) -> Floats:
        """What has sounded all the time, by bin; nothing before a tenth of a second was heard."""
        for row in powers:
            self._row.append(row)
            if len(self._row) == self._row_frames:
                self._rows.append(np.mean(self._row, axis=0, dtype=np.float32))
                self._row.clear()
        if not self._rows:
            return np.zeros(powers.shape[1], np.float32)
        return np.asarray(np.float32(FLOORS) * np.min(self._rows, axis=0), np.float32)
