"""A microphone whose process is here: what it hears, records and tells is real; its sound and clock are a test's."""

from __future__ import annotations

import json
import time
from collections import deque
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from companion.files.worker import RUNNING, Worker
from companion.hearing.microphone.driver import RATE_HZ, OpenMicrophone
from companion.hearing.microphone.service import MicrophoneService
from companion.midi.ports.driver import Backend
from companion.window.live.input import LiveInput
from companion.window.live.microphone.known_microphones import KnownMicrophones
from companion.window.live.sound import LiveSound
from companion.window.live.tune_run import TuneRun
from tests.companion.window.live.microphone.listed import DESK, ListedMicrophones, WithoutPorts
from tests.companion.window.players import Clock
from tests.hearing.recording import Samples

FRAME_S = 1.0 / 60.0
BLOCK = RATE_HZ // 60


class FedDevice:
    """What a sound library gives for a device: it can be let go."""

    def close(self) -> None:
        """Nothing is held."""


class FedDriver:
    """The driver of one microphone."""

    def __init__(self) -> None:
        self.came: Callable[[float, bytes], None] | None = None

    def names(self) -> tuple[str, ...]:
        """It."""
        return (DESK,)

    def open(self, name: str, came: Callable[[float, bytes], None], stop: Callable[[], None]) -> OpenMicrophone:
        """Begin to capture."""
        self.came = came
        return OpenMicrophone(FedDevice(), channels=1)

    def forget(self) -> None:
        """It stays."""


class WiredMicrophones(ListedMicrophones):
    """The service works in this process, whenever a test lets it."""

    def __init__(self, clock: Callable[[], float]) -> None:
        super().__init__((DESK,), clock)
        self.driver = FedDriver()
        self.service = MicrophoneService(self.driver, lambda: None)  # type: ignore[arg-type]
        self._untaken: deque[str] = deque()

    def send(self, *order: Any) -> None:
        """An order, as it goes through the pipe."""
        super().send(*order)
        self._untaken.append(json.dumps(order))

    def drop(self, source: Any) -> None:
        """Listen to it no longer."""
        self.send("close", source.number)

    def work(self) -> None:
        """Obey, hear what came, and tell."""
        while self._untaken:
            self.service.obey(json.loads(self._untaken.popleft()))
        self.service.work()
        for line in self.service.told().splitlines():
            answer = json.loads(line)
            self.sources[answer[1]].answered(answer)

    def close(self) -> None:
        """Leave them."""
        self.service.close()


class WiredDesk:
    """What is played in through a wired microphone, frame by frame. The clock is ahead of time.perf_counter, so that
    nothing seems to be silent."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.clock = Clock(time.perf_counter() + 10_000.0)
        self.system = WiredMicrophones(self.clock)
        self.live = LiveInput(folder / "takes", LiveSound(), self.clock)
        known = KnownMicrophones(folder, lambda: self.system)
        self.live.open(WithoutPorts(folder, Backend.SYSTEM, self.clock, known), DESK)
        self.system.work()
        self.live.gather(None)

    def close(self) -> None:
        """The window closes, while the microphone's process goes on."""
        closing = Worker(self.live.close, "closing")
        closing.start()
        while closing.outcome is RUNNING:
            self.system.work()
            time.sleep(0.005)
        assert closing.error is None

    def frames(self, samples: Samples, run_at: Callable[[float], TuneRun | None]) -> None:
        """Let these samples sound, while a tune runs as `run_at` says of the clock."""
        for first in range(0, len(samples), BLOCK):
            came = self.system.driver.came
            assert came is not None
            self.clock.now_s += FRAME_S
            came(self.clock.now_s, samples[first : first + BLOCK].astype(np.float32).tobytes())
            self.system.work()
            self.live.gather(run_at(self.clock.now_s))

    def settle(self, seconds: float = 0.5) -> None:
        """Silence, while no tune runs: what is told late is told, and files are closed."""
        self.frames(np.zeros(round(seconds * RATE_HZ), np.float32), lambda now_s: None)
        gives_up_s = time.monotonic() + 20.0
        while self.live.ear.before and not self.live.ear.before.is_over and time.monotonic() < gives_up_s:
            self.system.work()
            self.live.gather(None)
            time.sleep(0.01)
