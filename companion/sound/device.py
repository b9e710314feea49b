"""Opens the loudspeaker, pygame's mixer, once, with a channel for the tune and some for a live chanter."""

from __future__ import annotations

import numpy as np
import pygame
from numpy.typing import NDArray

from companion.files.streams import quiet_libraries
from companion.sound.settings import SAMPLE_RATE_HZ
from fingering.errors import UserError

# The mixer never works in smaller blocks. What is queued must be whole blocks, or there are gaps between.
DEVICE_FRAMES = 256
# Between the mixer and the ear lie about two of its blocks.
OUTPUT_DELAY_S = 2 * DEVICE_FRAMES / SAMPLE_RATE_HZ

TUNE_CHANNEL = 0
LIVE_CHANNELS = (1, 2)

_WANTED = (SAMPLE_RATE_HZ, -16, 2)


class Device:
    """The opened mixer. Raises UserError when there is no sound to be had."""

    def __init__(self) -> None:
        if pygame.mixer.get_init() != _WANTED:
            pygame.mixer.quit()
            _open_mixer()

    def channel(self, number: int) -> pygame.mixer.Channel:
        """One of the mixer's channels."""
        return pygame.mixer.Channel(number)

    def close(self) -> None:
        """Give the loudspeaker back. No feeder may be using a channel any more."""
        pygame.mixer.quit()


def _open_mixer() -> None:
    rate_hz, size, channels = _WANTED
    try:
        with quiet_libraries():  # ALSA writes a dozen lines of its own where there is no sound card
            pygame.mixer.init(rate_hz, size, channels, DEVICE_FRAMES, allowedchanges=0)
    except pygame.error as error:
        raise UserError(f"no sound ({error})", "connect or choose a sound output and start again") from error


def make_sound(samples: NDArray[np.int16]) -> pygame.mixer.Sound:
    """Stereo samples, shape (frames, 2), as a sound that a channel can play."""
    return pygame.mixer.Sound(buffer=samples.tobytes())
