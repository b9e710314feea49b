"""The clicks of a stretch of a tune: the metronome's, or those of a count-in and then the metronome's."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from companion.schedule.bars import Accent, Ticking
from companion.schedule.count_in import CountIn, Tick
from companion.sound.settings import SAMPLE_RATE_HZ

TickSounds = Mapping[Accent, NDArray[np.float32]]
"""The sound of a tick, mono, by how strong it is."""


ALWAYS, NEVER = -(1 << 40), 1 << 40
"""Frames long before and long after any tune."""


@dataclass(frozen=True, slots=True, eq=False)
class Clicks:
    """When each tick sounds, in frames of the schedule, ascending, and what."""

    frames: NDArray[np.int64]
    sounds: tuple[NDArray[np.float32], ...]

    @classmethod
    def of(cls, ticks: Iterable[Tick], sounds: TickSounds) -> Clicks:
        """The clicks of these ticks, which are in order."""
        timed = [(round(tick.at_s * SAMPLE_RATE_HZ), sounds[tick.accent]) for tick in ticks]
        return cls(np.array([frame for frame, _ in timed], np.int64), tuple(sound for _, sound in timed))

    def add_to(self, out: NDArray[np.float32], start: int, gain: float) -> None:
        """Add what sounds of them from frame `start` on to `out` (mono)."""
        longest = max(map(len, self.sounds), default=0)
        first = int(np.searchsorted(self.frames, start - longest, "right"))
        last = int(np.searchsorted(self.frames, start + len(out), "left"))
        for frame, sound in zip(self.frames[first:last].tolist(), self.sounds[first:last], strict=True):
            begin, end = max(start, frame), min(start + len(out), frame + len(sound))
            if begin < end:
                out[begin - start : end - start] += np.float32(gain) * sound[begin - frame : end - frame]


@dataclass(frozen=True, slots=True, eq=False)
class ClickPassage:
    """A way through the tune without a leap: its clicks, and the frames from which chanter and drones sound."""

    clicks: Clicks
    enters: int = 0
    drones_enter: int = 0


def counted_in(ticks: Sequence[Tick], count: CountIn, pulse: Ticking, sounds: TickSounds) -> ClickPassage:
    """The passage of a tune of those ticks that is counted in: the count's clicks alone, and then the tune with its
    own, from the beat on which it starts. In a rest between two rounds the drones go on.
    """
    enters = round(count.place_s * SAMPLE_RATE_HZ)
    clicks = Clicks.of(count.joined_to(ticks, pulse), sounds)
    return ClickPassage(clicks, enters, ALWAYS if count.within else enters)
