"""From the channels of a recording to the one sound that is heard."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

GREATEST = 1e6
"""No sample counts as more: full scale is 1, and programs that count in whole numbers write up to 32768."""

LEAST_SHARE = 0.1
"""The mean of all channels is heard unless it has 10 dB less power than if each had a sound of its own: then they
cancel each other, as two do of which one is wired the wrong way round."""

Samples = NDArray[np.float32]


def numbers_of(block: Samples) -> Samples:
    """Samples without what is no number, or far beyond any: those count as silence."""
    if not block.size or np.abs(block).max() <= GREATEST:  # which nothing is that is no number
        return block
    return np.where(np.abs(block) <= GREATEST, block, np.float32(0.0))


class ChannelMixer:
    """Mixes the channels of a sound into one, and measures whether that was right.

    channel: the only one that is taken, None for the mean of all.
    """

    def __init__(self, channel: int | None = None) -> None:
        self.channel = channel
        self._powers: NDArray[np.float64] = np.zeros(1)
        self._mixed = 0.0

    def mix(self, block: Samples) -> Samples:
        """One sound of the next samples, shape (n,) or (n, channels)."""
        if block.ndim == 1:
            return block
        if self.channel is not None:
            alone: Samples = np.ascontiguousarray(block[:, min(self.channel, block.shape[1] - 1)])
            return alone
        channels = np.ascontiguousarray(block.T)  # rows are gone through far faster than columns
        mono: Samples = channels.mean(axis=0, dtype=np.float32)
        powers = np.array([_power(each) for each in channels])
        self._powers = powers + (self._powers if len(self._powers) == len(powers) else 0.0)
        self._mixed += _power(mono)
        return mono

    @property
    def better(self) -> int | None:
        """The channel to take instead where the channels cancel each other; None where their mean is right."""
        # The powers of sounds of their own add up; their mean has that over the square of their number.
        alone = float(self._powers.sum()) / len(self._powers) ** 2
        return int(self._powers.argmax()) if self._mixed < LEAST_SHARE * alone else None


def _power(samples: Samples) -> float:
    """The power of one channel about its mean."""
    swings = (samples - samples.mean()).astype(np.float64)
    return float(swings @ swings)
