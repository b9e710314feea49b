"""Renders a recording in the place of a schedule's chanter: the real sound, slowed at the same pitch."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from companion.media.slowing import reads_from_s, slowed
from companion.schedule.events import Schedule
from companion.sound.settings import HALF_FADE, SAMPLE_RATE_HZ
from fingering.errors import UserError

Blocks = Callable[[float], Iterable[NDArray[np.float32]]]
"""A function from a moment of a recording, in s, to its samples from there on: mono, -1 to 1, block by block."""

_MOST_STREAMS = 3
"""Places from which it is read at once: where it plays, what fades out there, and the beginning of what is repeated."""

_KEPT_FRAMES = 60 * SAMPLE_RATE_HZ
_HELD_FRAMES = 10 * SAMPLE_RATE_HZ
"""A stream that has given as much as the first forgets all but the second: it needs some 20 MB at most."""

_NEAR_FRAMES = SAMPLE_RATE_HZ // 4
"""What lies no further ahead is reached sooner by reading on than by beginning anew."""


@dataclass(frozen=True, slots=True, eq=False)
class RecordedSound:
    """A recording as it sounds beside a schedule: `slow_down` times slower, from `starts_s` of it, where the schedule
    has its 0 s, on. rate_hz: of its samples. gain: what they are multiplied by, so that the greatest is 1 at most.
    """

    blocks: Blocks
    rate_hz: int
    starts_s: float = 0.0
    slow_down: float = 1.0
    gain: float = 1.0


class RecordedLine:
    """A recording as a function of the frame, in place of a `ChanterLine`. Frames are those of the schedule.

    Any stretch can be asked for; what goes on from the one before costs the least. What cannot be read is silence.
    """

    def __init__(self, schedule: Schedule, sound: RecordedSound) -> None:
        self.end_frame = max(HALF_FADE, round(schedule.duration_s * SAMPLE_RATE_HZ))
        self._sound = sound
        self._streams: list[_Stream] = []

    def phase_at(self, frame: int) -> float | None:
        """None: a recording has no phase that could be shifted."""
        return None

    def add_to(self, out: NDArray[np.float32], start: int, phase: float = 0.0) -> None:
        """Add frames start, start + 1, ... to `out` (mono). Before 0 and after the end there is silence."""
        first, stop = max(0, start), min(start + len(out), self.end_frame)
        if first < stop:
            out[first - start : stop - start] += self._stream_at(first).cut(first, stop)

    def make_ready(self, frame: int) -> None:
        """Open the recording where it will be heard next, for whoever may wait meanwhile."""
        if frame < self.end_frame:
            self._stream_at(max(0, frame)).cut(max(0, frame), max(0, frame) + 1)

    def _stream_at(self, frame: int) -> _Stream:
        """The stream that goes on there, so that what fades out is what sounded; else one that is there already."""
        goes_on = (each for each in self._streams if each.stands_at == frame)
        found = next(goes_on, None) or next((each for each in self._streams if each.holds(frame)), None)
        if found is None:
            found = _Stream(self._sound, frame)
        self._streams = [found, *(each for each in self._streams if each is not found)][:_MOST_STREAMS]
        return found


class _Stream:
    """A recording that is read and slowed from one frame of the schedule on. `stands_at`: up to where it was heard."""

    def __init__(self, sound: RecordedSound, frame: int) -> None:
        self._first = self.stands_at = frame
        self._held = np.zeros(SAMPLE_RATE_HZ, np.float32)
        self._count = 0
        self._gain = np.float32(sound.gain)
        self._parts = _slowed_from(sound, frame / SAMPLE_RATE_HZ)

    def holds(self, frame: int) -> bool:
        """Whether a frame is there, or soon will be."""
        return self._first <= frame <= self._first + self._count + _NEAR_FRAMES

    def cut(self, first: int, stop: int) -> NDArray[np.float32]:
        """The frames from `first` to `stop`, with silence after the recording's end."""
        self.stands_at = stop
        while self._first + self._count < stop and (part := next(self._parts, None)) is not None:
            self._take_in(part)
        part = self._held[first - self._first : min(stop - self._first, self._count)]
        return np.pad(part, (0, stop - first - len(part))) if len(part) < stop - first else part

    def _take_in(self, part: NDArray[np.float32]) -> None:
        if self._count + len(part) > _KEPT_FRAMES:
            gone = max(0, self._count - _HELD_FRAMES)
            self._held[: self._count - gone] = self._held[gone : self._count].copy()
            self._first, self._count = self._first + gone, self._count - gone
        if self._count + len(part) > len(self._held):
            self._held = np.pad(self._held, (0, len(self._held) + len(part)))
        # a file of floating-point samples may hold any number, which would be deafening as soon as it is made 16 bits
        louder = np.nan_to_num(part * self._gain, nan=0.0, posinf=1.0, neginf=-1.0)
        np.clip(louder, -1.0, 1.0, out=self._held[self._count : self._count + len(part)])
        self._count += len(part)


def _slowed_from(sound: RecordedSound, at_s: float) -> Iterator[NDArray[np.float32]]:
    """The slowed samples from a moment of the schedule on; none any more where the recording cannot be read."""
    from_s = reads_from_s(sound.starts_s + at_s / sound.slow_down, sound.slow_down)
    before = np.zeros(round(max(0.0, -from_s) * sound.rate_hz), np.float32)

    def given() -> Iterator[NDArray[np.float32]]:
        yield before
        with contextlib.suppress(UserError, OSError):
            yield from sound.blocks(max(0.0, from_s))

    with contextlib.suppress(UserError):  # where the library is not there
        yield from slowed(given(), sound.rate_hz, sound.slow_down, SAMPLE_RATE_HZ)
