"""How much later than it was played a loudspeaker's sound is heard, by how spectra rise together."""

from __future__ import annotations

import numpy as np

from companion.hearing.spectra import Floats

LONGEST_S = 0.400
"""Sound systems and the way through the air delay by no more."""

PIECE_S = 0.5
HALVED_S = 15.0
"""The time in which half of what was found is forgotten: clocks of two devices drift apart by some ms a minute."""

GROUPED_BINS = 4
RISE_S = 0.010
LEAST_DB, MOST_RISE_DB = -50.0, 20.0
"""A rise counts from 50 dB below the loudest on, and for no more than 20 dB."""

LOOKED_FOR_S = 4.0
SHARP = 5.0
"""A delay is known where the correlation stands so many standard deviations above its mean over all delays."""


class LeakDelay:
    """Finds the delay, in frames, between what was played and what is heard.

    Rises are compared, not levels: a learner who plays along rises now a little before, now a little after, but what
    leaks rises always as late.
    """

    def __init__(self, hop_s: float) -> None:
        self._longest = round(LONGEST_S / hop_s)
        self._rise = round(RISE_S / hop_s)
        self._forget = 0.5 ** (PIECE_S / HALVED_S)
        self._found = np.zeros(self._longest + 1)
        self._compared = 0
        self.piece = round(PIECE_S / hop_s)

    @property
    def before(self) -> int:
        """How many frames of what was played, before a piece of what is heard, are needed with it."""
        return self._longest

    def compare(self, played: Floats, heard: Floats) -> None:
        """Take in a piece: powers of what was heard, shape (piece, bins), and of what was played, which begin `before`
        frames sooner and end with it."""
        rises = self._rises(played), self._rises(heard)
        if not rises[0].any() or not rises[1].any():
            return
        size = 1 << (len(played) - 1).bit_length()
        spectra = [np.fft.rfft(each - each.mean(axis=0), size, axis=0) for each in rises]
        norm = float(np.linalg.norm(rises[0]) * np.linalg.norm(rises[1]))
        product = np.fft.irfft((spectra[0] * spectra[1].conj()).sum(axis=1), size)
        # What was played at row r of `played` fits what is heard at row r - shift: it is `before - shift` frames late.
        self._found = self._forget * self._found + product[: self._longest + 1][::-1] / norm
        self._compared += 1

    @property
    def compared_s(self) -> float:
        """How much was compared so far."""
        return self._compared * PIECE_S

    @property
    def looked_for(self) -> bool:
        """Whether it was looked for long enough: what is not found by then leaks too faintly to matter."""
        return self.compared_s >= LOOKED_FOR_S

    @property
    def frames(self) -> int | None:
        """The delay; None where it is not known."""
        spread = float(self._found.std())
        best = int(self._found.argmax())
        if spread <= 0.0 or self._found[best] - self._found.mean() < SHARP * spread:
            return None
        return best

    def _rises(self, powers: Floats) -> Floats:
        whole = powers.shape[1] // GROUPED_BINS * GROUPED_BINS
        grouped = powers[:, :whole].reshape(len(powers), -1, GROUPED_BINS).sum(axis=2)
        least = max(float(grouped.max()) * 10.0 ** (LEAST_DB / 10.0), 1e-12)
        levels_db = 10.0 * np.log10(np.maximum(grouped, least))
        rises = np.zeros_like(levels_db)
        rises[self._rise :] = np.clip(levels_db[self._rise :] - levels_db[: -self._rise], 0.0, MOST_RISE_DB)
        return np.asarray(rises, np.float32)
