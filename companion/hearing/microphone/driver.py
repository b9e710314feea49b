"""The one place that talks to miniaudio: which microphones there are, and what they bring."""

from __future__ import annotations

import contextlib
import ctypes
import importlib
import sys
import time
from collections import Counter
from collections.abc import Callable, Generator, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from companion.files.lines import quoted
from fingering.errors import UserError

CLIENT_NAME = "eightholes"
RATE_HZ = 48_000
PERIOD_MS = 10
PERIODS = 4
"""What comes is handed over every 10 ms; the system keeps 40 ms for a computer that is held up."""

JACK_INPUTS = "JACK: all inputs"
"""JACK has no devices: whatever it captures is one microphone, and the user connects it otherwise by JACK's tools."""

_KEPT_LOADED = ("libpulse.so.0", "libasound.so.2", "libjack.so.0")
"""miniaudio loads a sound system's library to ask whether it runs, and lets it go again where it does not. Each time
such a library claims some of the 1,024 keys that a process has for its threads: after some 340 times, eleven minutes,
JACK's ended the process. One that is held loaded does not begin anew."""

_SAMPLE_BYTES = 4
_NO_SOUND = b"null"
_MONITOR = b".monitor"
"""ALSA's device that brings nothing but silence, and PulseAudio's that bring what the computer itself plays."""

Came = Callable[[float, bytes], None]
"""Is told what came: when it was handed over, on the clock of time.perf_counter, and its samples as bytes."""


@dataclass(frozen=True, slots=True)
class _Known:
    """Where a microphone is: the sound system that has it, and its id there."""

    backend: Any
    device_id: Any


class OpenMicrophone:
    """A microphone that is captured, until it is closed."""

    def __init__(self, device: Any, channels: int) -> None:
        self._device = device
        self._channels = channels

    def mono(self, data: bytes) -> NDArray[np.float32]:
        """The samples of what came: float32, -1 to 1, shape (frames,), the mean of its channels."""
        samples = np.frombuffer(data, np.float32).reshape(-1, self._channels)
        return samples[:, 0] if self._channels == 1 else samples.mean(axis=1).astype(np.float32)

    def frames(self, count: int) -> int:
        """How many samples of each channel so many bytes hold."""
        return count // (_SAMPLE_BYTES * self._channels)

    def close(self) -> None:
        """Let it go; one that is gone already is no error."""
        self._device.close()


class MicrophoneDriver:
    """The microphones of this computer. Raises UserError where miniaudio is not there.

    For a process whose standard error goes nowhere, since C libraries write to it. One thread may list, another open.
    """

    def __init__(self) -> None:
        try:
            self._library = importlib.import_module("miniaudio")
        except (ImportError, OSError):
            what = "microphones need the Python package 'miniaudio', which is not there"
            raise UserError(what, "install it: python3 -m pip install miniaudio") from None
        self._libraries = tuple(_held())
        self._contexts: dict[Any, Any] = {}
        self._known: dict[str, _Known] = {}

    def names(self) -> tuple[str, ...]:
        """The microphones there are: those of the first sound system that has any, and JACK where it runs.

        PulseAudio has all those that ALSA has, and Windows' newest system those of its older ones. Raises UserError
        where there is none.
        """
        backends = self._library.Backend
        others = self._library.get_enabled_backends() - {backends.JACK, backends.NULL, backends.CUSTOM}
        found: dict[str, _Known] = {}
        for backend in sorted(others, key=lambda each: int(each.value)):
            found = dict(self._of(backend))
            if found:
                break
        if self._context(backends.JACK):
            found[JACK_INPUTS] = _Known(backends.JACK, None)
        self._known = found
        if not found:
            raise UserError("this computer has no microphone", "plug one in, or play on the computer's keys")
        return tuple(found)

    def open(self, name: str, came: Came, stopped: Callable[[], None]) -> OpenMicrophone:
        """Capture the microphone of exactly this name, one of the last `names`. Raises UserError if it refuses.

        came and stopped are called by a thread of the sound system, and must not wait. stopped: it brings no more.
        """
        known = self._known.get(name)
        if known is None:
            raise UserError(f"there is no microphone {quoted(name)}", "plug it in, or choose another")
        try:
            device, channels = self._opened(known)
            device.stop_callback = stopped
            taking = _taking(came)
            next(taking)
            device.start(taking)
        except self._library.MiniaudioError as error:
            self._contexts = {}  # its sound system may have gone
            what = f"the microphone {quoted(name)} cannot be opened ({_reason(error)})"
            raise UserError(what, "plug it in again, and see that this program may use it") from error
        return OpenMicrophone(device, channels)

    def forget(self) -> None:
        """Look at all sound systems anew: one of them may have been started again."""
        self._contexts = {}

    def _opened(self, known: _Known) -> tuple[Any, int]:
        """A device that is ready to start, and how many channels it has."""
        library = self._library
        tried: Exception = library.MiniaudioError("it has no channels")
        for channels in self._channels(known):
            try:
                form = library.SampleFormat.FLOAT32
                ways = {"backends": [known.backend], "app_name": CLIENT_NAME}
                of = known.device_id
                device = library.CaptureDevice(form, channels, RATE_HZ, PERIOD_MS, of, PERIODS, **ways)
            except library.MiniaudioError as error:
                tried = error
            else:
                return device, channels
        raise tried

    def _channels(self, known: _Known) -> tuple[int, ...]:
        """How many channels to ask for: miniaudio makes one of several in most cases, of JACK's ports in none."""
        if known.backend is not self._library.Backend.JACK:
            return (1, 2)
        inputs = self._library.Devices([known.backend]).get_captures()
        return tuple(form["channels"] for each in inputs for form in each["formats"] if form["channels"])

    def _context(self, backend: Any) -> Any:
        """A connection to a sound system, which is kept; None where it does not run."""
        if backend not in self._contexts:
            with contextlib.suppress(self._library.MiniaudioError):
                self._contexts[backend] = self._library.Devices([backend])
        return self._contexts.get(backend)

    def _of(self, backend: Any) -> Iterator[tuple[str, _Known]]:
        """The microphones of one sound system, none where it does not run: those of equal names are numbered."""
        times: Counter[str] = Counter()
        for name, device_id in self._listed(backend):
            times[name] += 1
            yield name if times[name] == 1 else f"{name} ({times[name]})", _Known(backend, device_id)

    def _listed(self, backend: Any) -> Iterator[tuple[str, Any]]:
        """Names and ids as the sound system has them. Not by miniaudio's own list, which opens each one to look."""
        context = self._context(backend)
        if context is None:
            return
        ffi, lib = self._library.ffi, self._library.lib
        infos, count = ffi.new("ma_device_info**"), ffi.new("ma_uint32*")
        if lib.ma_context_get_devices(context._context, ffi.NULL, ffi.NULL, infos, count) != lib.MA_SUCCESS:
            self._contexts.pop(backend, None)
            return
        for rank in range(count[0]):
            info = infos[0][rank]
            called = bytes(ffi.buffer(ffi.addressof(info.id))).split(b"\0")[0]
            if called != _NO_SOUND and not called.endswith(_MONITOR):
                yield ffi.string(info.name).decode("utf-8", "replace"), ffi.new("ma_device_id *", info.id)


def _held() -> Iterator[ctypes.CDLL]:
    """The libraries of those sound systems that are installed, on Linux."""
    for name in _KEPT_LOADED if sys.platform == "linux" else ():
        with contextlib.suppress(OSError):
            yield ctypes.CDLL(name)


def _taking(came: Came) -> Generator[None, bytes, None]:
    """What miniaudio hands samples to; stamped at once."""
    while True:
        data = yield
        came(time.perf_counter(), data)


def _reason(error: Exception) -> str:
    """What the library said, with its number, which tells those who know it more."""
    return " ".join(str(each) for each in error.args).lower()
