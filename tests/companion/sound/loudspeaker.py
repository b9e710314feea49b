"""A loudspeaker that a test can listen to: SDL's disk driver writes down, in real time, what would be heard."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from companion.sound.device import Device
from tests.companion.sound.hearing import cents, peak_hz

BYTES_PER_FRAME = 4
PATIENCE_S = 20.0
# Long enough that the strongest partial is found within 3 cents: 85 ms.
LATEST_FRAMES = 4_096
LAST_FRAMES = 32


def wait_until(happened: Callable[[], bool]) -> None:
    """Wait for something that is bound to happen; fail if it does not."""
    end_s = time.monotonic() + PATIENCE_S
    while not happened():
        assert time.monotonic() < end_s, "it has not happened"
        time.sleep(0.002)


class Loudspeaker:
    """An opened device and what it has been given so far."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self.device = Device()

    def play_on(self, frames: int) -> None:
        """Wait until so many more frames have been played."""
        wanted = self._path.stat().st_size + frames * BYTES_PER_FRAME
        wait_until(lambda: self._path.stat().st_size >= wanted)

    def comes_to(self, hz: float, within_cents: float = 3.0) -> None:
        """Play on until a partial of this frequency is what was heard last.

        How long that takes is no fact about the program: on a machine that is busy elsewhere there are gaps before it.
        """
        wait_until(lambda: abs(cents(self._latest_hz(hz), hz)) < within_cents)

    def heard_sounding(self) -> NDArray[np.int16]:
        """All frames so far, once the last of them sound: by then the program knows of each time that it ran dry."""
        heard = [self.heard()]

        def sounds_on() -> bool:
            heard[0] = self.heard()
            return bool(heard[0][-LAST_FRAMES:].any())

        wait_until(sounds_on)
        return heard[0]

    def falls_silent(self) -> None:
        """Play on until nothing is heard any more."""
        wait_until(lambda: not self._latest().any())

    def comes_to_peak(self, peak: float, within: float) -> None:
        """Play on until the loudest sample heard last is `peak` of full scale, up to a share `within` of it."""
        wait_until(lambda: abs(np.abs(self._latest().astype(int)).max(initial=0) / 32_767 - peak) < within * peak)

    def _latest_hz(self, about_hz: float) -> float:
        latest = self._latest()
        if len(latest) < LATEST_FRAMES or not latest.any():
            return math.inf
        heard_hz = peak_hz(latest[:, 0].astype(float), about_hz)
        return heard_hz if heard_hz > 0.0 else math.inf  # where a click is all that is heard

    def _latest(self) -> NDArray[np.int16]:
        return self.heard()[-LATEST_FRAMES:]

    def heard(self) -> NDArray[np.int16]:
        """All frames so far: shape (frames, 2), from the first that is not silent."""
        samples = np.fromfile(self._path, "<i2")
        stereo = samples[: len(samples) // 2 * 2].reshape(-1, 2)
        sounding = np.flatnonzero(stereo.any(axis=1))
        return stereo[sounding[0] :] if len(sounding) else stereo[:0]


@contextmanager
def open_loudspeaker(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Loudspeaker]:
    """A loudspeaker that writes into `folder`."""
    path = folder / "loudspeaker.raw"
    monkeypatch.setenv("SDL_AUDIODRIVER", "disk")
    monkeypatch.setenv("SDL_DISKAUDIOFILE", str(path))
    speaker = Loudspeaker(path)
    try:
        yield speaker
    finally:
        speaker.device.close()
