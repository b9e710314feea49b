"""A process that plays sound into whatever listens to it, in real time: a chanter before the microphone.

``python -m tests.companion.hearing.microphone.player BACKEND NAME PERIOD_MS`` answers "ready", then obeys lines.
``play PATH`` plays a file of float32 samples, 48,000 a second, silence before and after it, and answers "playing".
``times`` answers with when each block of it was handed to the sound system: JSON, pairs of time.perf_counter (which all
processes of a computer share on Linux) and the rank of the block's first sample. It ends with its input.
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Generator

import miniaudio
import numpy as np
from numpy.typing import NDArray

RATE_HZ = 48_000


class Playing:
    """What is played, block by block, on a thread of the sound system."""

    def __init__(self, channels: int) -> None:
        self.times: list[tuple[float, int]] = []
        self.samples: NDArray[np.float32] = np.zeros(0, np.float32)
        self._next = 0
        self._channels = channels

    def play(self, samples: NDArray[np.float32]) -> None:
        """From the next block on."""
        self._next = 0
        self.times = []
        self.samples = samples

    def blocks(self) -> Generator[bytes, int, None]:
        """What miniaudio asks for."""
        block = b""
        while True:
            frames = yield block
            part = self.samples[self._next : self._next + frames]
            if len(part):
                self.times.append((time.perf_counter(), self._next))
                self._next += len(part)
            whole = np.zeros((frames, self._channels), np.float32)
            whole[: len(part)] = part[:, np.newaxis]
            block = whole.tobytes()


def main(backend: str, name: str, period_ms: str) -> None:
    """Obey until the input ends."""
    channels = 2
    device = miniaudio.PlaybackDevice(
        miniaudio.SampleFormat.FLOAT32,
        channels,
        RATE_HZ,
        int(period_ms),
        backends=[miniaudio.Backend[backend]],
        app_name=name,
    )
    playing = Playing(channels)
    blocks = playing.blocks()
    next(blocks)
    device.start(blocks)
    print("ready", flush=True)
    for line in sys.stdin:
        word, _, rest = line.strip().partition(" ")
        if word == "play":
            playing.play(np.fromfile(rest, np.float32))
            print("playing", flush=True)
        elif word == "times":
            print(json.dumps(playing.times), flush=True)
    device.close()


if __name__ == "__main__":
    sys.setswitchinterval(0.0005)
    main(*sys.argv[1:])
