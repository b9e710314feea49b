"""Opens the loudspeaker, pygame's mixer, once, with a channel for the tune and some for a live chanter."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable, Iterator

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

Tap = Callable[[NDArray[np.int16], float], None]
"""Is told of each block that is handed to the loudspeaker, shape (frames, 2), and when it will be heard, in s of
time.perf_counter. Called on a thread that feeds the sound: it must not wait."""

# pygame's mixer is one for the whole process, and so is what guards it.
_MIXER = threading.RLock()
_WANTED = (SAMPLE_RATE_HZ, -16, 2)
CLOSED = "the loudspeaker was closed"


class Channel:
    """One of a device's channels. Any thread may call; a call after the device was closed raises pygame.error.

    A call that the mixer gets while another thread closes it, or after that, would crash the program; once another
    device has opened it, the call would disturb what sounds there.
    """

    def __init__(self, device: Device, number: int) -> None:
        self._device = device
        with device.opened():
            self._channel = pygame.mixer.Channel(number)

    @property
    def tap(self) -> Tap | None:
        """Who is told of what the device plays."""
        return self._device.tap

    def play(self, sound: pygame.mixer.Sound, loops: int = 0) -> None:
        """Play a sound from now on, and so many times again; -1 for ever."""
        with self._device.opened():
            self._channel.play(sound, loops)

    def queue(self, sound: pygame.mixer.Sound) -> None:
        """Play a sound after the one that sounds now."""
        with self._device.opened():
            self._channel.queue(sound)

    def is_waiting(self) -> bool:
        """Whether a sound is queued."""
        with self._device.opened():
            return self._channel.get_queue() is not None

    def is_busy(self) -> bool:
        """Whether a sound plays."""
        with self._device.opened():
            return self._channel.get_busy()

    def pause(self) -> None:
        """Hold what plays."""
        with self._device.opened():
            self._channel.pause()

    def fade_out(self, milliseconds: int) -> None:
        """Fall silent in so many ms."""
        with self._device.opened():
            self._channel.fadeout(milliseconds)

    def stop(self) -> None:
        """Fall silent. A device that is closed is silent."""
        with contextlib.suppress(pygame.error), self._device.opened():
            self._channel.stop()


class Device:
    """The opened mixer. Raises UserError when there is no sound to be had.

    tap: who is told of every block of the tune's sound, None for nobody; any thread may set it.
    """

    def __init__(self) -> None:
        self.tap: Tap | None = None
        self._closed = False
        with _MIXER:
            if pygame.mixer.get_init() != _WANTED:
                pygame.mixer.quit()
                _open_mixer()

    def channel(self, number: int) -> Channel:
        """One of the mixer's channels."""
        return Channel(self, number)

    @contextlib.contextmanager
    def opened(self) -> Iterator[None]:
        """The mixer, for one call at a time. Raises pygame.error where this device is closed."""
        with _opened():
            if self._closed:
                raise pygame.error(CLOSED)
            yield

    def close(self) -> None:
        """Give the loudspeaker back; whoever still uses a channel is refused from now on."""
        with _MIXER:
            if not self._closed:  # or another device's mixer would be closed
                self._closed = True
                pygame.mixer.quit()


def _open_mixer() -> None:
    rate_hz, size, channels = _WANTED
    try:
        with quiet_libraries():  # ALSA writes a dozen lines of its own where there is no sound card
            pygame.mixer.init(rate_hz, size, channels, DEVICE_FRAMES, allowedchanges=0)
    except pygame.error as error:
        raise UserError(f"no sound ({error})", "connect or choose a sound output and start again") from error


@contextlib.contextmanager
def _opened() -> Iterator[None]:
    """The mixer, for one call at a time. Raises pygame.error where it is closed."""
    with _MIXER:
        if pygame.mixer.get_init() is None:
            raise pygame.error(CLOSED)
        yield


def make_sound(samples: NDArray[np.int16]) -> pygame.mixer.Sound:
    """Stereo samples, shape (frames, 2), as a sound that a channel can play. Raises pygame.error where it is closed."""
    with _opened():
        return pygame.mixer.Sound(buffer=samples.tobytes())
