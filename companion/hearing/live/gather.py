"""Gathers from a stream what a voice can be learnt from: the stretches in which something tonal sounds."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from companion.hearing.spectra import Floats, FrameGrid

SEGMENT_S = 1.0
TONAL_SHARE = 0.25
"""The share of a second that must be tonal for it to be kept."""

FOREIGN_SHARE = 0.05
MOST_S = 60.0
"""As `hear` learns from a minute; of more the oldest is given up."""

STEADY_S = 0.040
STEADY = 0.93
"""A sound is tonal while its spectrum is the same after 40 ms: by the cosine of amplitudes, which is 0.79 for noise
(pi / 4, of exponentially distributed powers)."""

LEAST_POWER = 1e-9
"""A frame whose bins add up to less, -90 dB, is silence."""


class SoundGatherer:
    """Gathers thinned samples in which something tonal sounds. tonal_s: how long it has sounded in all so far."""

    def __init__(self, grid: FrameGrid) -> None:
        self._grid = grid
        self._lag = round(STEADY_S / grid.hop_s)
        self._before = np.zeros((0, len(grid.bins_hz)), np.float32)
        self._samples: list[Floats] = []
        self._count = 0
        self._tonal, self._foreign = 0, 0
        self._pieces: list[tuple[int, Floats]] = []
        self._rank = 0
        self.tonal_s = 0.0

    def gather(self, thinned: Floats, powers: Floats, foreign: NDArray[np.bool_] | None = None) -> None:
        """Take in what `FrameStream.take` gave. foreign: in which frames something else may sound: such a second is
        not gathered."""
        tonal = self._tonal_frames(powers)
        if foreign is not None and foreign.any():
            self._foreign += int(foreign.sum())
            tonal = 0
        self._tonal += tonal
        self.tonal_s += tonal * self._grid.hop_s
        self._samples.append(thinned)
        self._count += len(thinned)
        if self._count >= SEGMENT_S * self._grid.rate_hz:
            self._end_segment()

    def pieces(self) -> tuple[Floats, ...]:
        """What was gathered, as stretches that were one in the stream."""
        kept = list(self._pieces)
        if self._is_worth():
            kept.append((self._rank, np.concatenate(self._samples)))
        joined: list[list[Floats]] = []
        last = -2
        for rank, piece in kept:
            if rank == last + 1:
                joined[-1].append(piece)
            else:
                joined.append([piece])
            last = rank
        return tuple(np.concatenate(each) for each in joined)

    def _end_segment(self) -> None:
        if self._is_worth():
            self._pieces.append((self._rank, np.concatenate(self._samples)))
            self._pieces = self._pieces[-round(MOST_S / SEGMENT_S) :]
        self._samples, self._count, self._tonal, self._foreign = [], 0, 0, 0
        self._rank += 1

    def _is_worth(self) -> bool:
        per_frame = self._grid.hop / max(1, self._count)
        return self._tonal * per_frame > TONAL_SHARE and self._foreign * per_frame < FOREIGN_SHARE

    def _tonal_frames(self, powers: Floats) -> int:
        whole = np.concatenate((self._before, powers))
        self._before = whole[-self._lag :]
        if len(whole) <= self._lag:
            return 0
        here, earlier = np.sqrt(whole[self._lag :]), np.sqrt(whole[: -self._lag])
        norms = np.sqrt(whole[self._lag :].sum(axis=1) * whole[: -self._lag].sum(axis=1))
        likeness = (here * earlier).sum(axis=1) / np.maximum(norms, LEAST_POWER)
        return int((likeness > STEADY).sum())
