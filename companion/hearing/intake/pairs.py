"""Finds where two of a chanter's notes sound at once, as only two players make them. Pure.

What ends goes on sounding for a while in a room, and gracenotes are shorter than a window: two notes that both last, as
loud as each other, are neither.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from companion.hearing.intake.runs import Floats, runs_of

ROUNDS = 12
"""How often the levels of all notes in a frame are made better (multiplicative updates that lessen the Kullback-Leibler
divergence: Lee and Seung 2001, from memory)."""

SOFTER = 0.16
"""The softer of two notes has this share of the louder's power at least, 8 dB less."""

LASTS_S = 0.18
"""For how long the same two sound at once: in a room of 0.8 s what was before has fallen by 13 dB by then."""

ALONE = -1


class PairMeter:
    """Takes in a sound's spectra piece by piece, in order of time, and tells where two notes last at once.

    notes: what each of the nine looks like, as power by bin. ground: what sounds all the time, likewise.
    """

    def __init__(self, notes: Floats, ground: Floats, hop_s: float) -> None:
        whole = np.concatenate((notes, ground[np.newaxis]))
        self._totals = whole.sum(axis=1)
        self._shapes = whole / self._totals[:, np.newaxis]
        self._loud = float(np.median(notes.sum(axis=1))) * 0.03
        self._hop_s = hop_s
        self._pairs: list[NDArray[np.int8]] = []
        self._sounds: list[NDArray[np.bool_]] = []

    def take_in(self, powers: Floats) -> None:
        """The next frames, shape (frames, bins)."""
        if not len(powers):
            return
        seen = np.maximum(powers, np.float32(1e-12))
        shapes = self._shapes
        levels = np.tile(seen.sum(axis=1, keepdims=True) / len(shapes), (1, len(shapes))).astype(np.float32)
        for _ in range(ROUNDS):
            levels *= (seen / (levels @ shapes + np.float32(1e-12))) @ shapes.T
        notes = levels[:, :-1]
        order = np.argsort(notes, axis=1)[:, -2:]
        softer, louder = np.take_along_axis(notes, order, axis=1).T
        sounds = louder > self._loud
        both = sounds & (softer > SOFTER * louder)
        code = np.minimum(order[:, 0], order[:, 1]) * notes.shape[1] + np.maximum(order[:, 0], order[:, 1])
        self._pairs.append(np.where(both, code, ALONE).astype(np.int8))
        self._sounds.append(sounds)

    @property
    def share(self) -> float:
        """The share, of the time in which anything sounds, in which two notes do that last."""
        if not self._pairs:
            return 0.0
        pairs = np.concatenate(self._pairs)
        least = round(LASTS_S / self._hop_s)
        lasting = sum(stop - first for first, stop in runs_of(pairs) if pairs[first] != ALONE and stop - first >= least)
        return lasting / max(1, int(np.concatenate(self._sounds).sum()))
