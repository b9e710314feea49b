"""Tells a microphone what the loudspeaker plays, so that it is not taken for playing."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from companion.hearing.microphone.source import MicrophoneSource
from companion.sound.device import Tap
from companion.sound.settings import SAMPLE_RATE_HZ

_FULL_SCALE = 32768.0


def tap_for(microphone: MicrophoneSource) -> Tap:
    """Return a function that tells a microphone of each block that our loudspeaker plays; silence need not be told."""

    def tell(block: NDArray[np.int16], at_s: float) -> None:
        if block.any():
            mono = block.mean(axis=1, dtype=np.float32) / np.float32(_FULL_SCALE)
            microphone.played_by_us(mono, SAMPLE_RATE_HZ, at_s)

    return tell
