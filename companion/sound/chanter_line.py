"""Renders the chanter of a schedule: its hole states as one unbroken line of sound."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from companion.schedule.events import EventKind, Schedule
from companion.sound.mix import RISE
from companion.sound.settings import FADE_FRAMES, HALF_FADE, SAMPLE_RATE_HZ
from companion.sound.tone import Loop
from companion.sound.voices import ChanterTones


class ChanterLine:
    """The chanter of a schedule as a function of the frame: it has no state, so that any stretch can be rendered.

    Frames are those of the schedule. `phase` (0 to 1) shifts every tone by that part of its period, so that a stretch
    can go on from any other.

    State i is weighted by rise(i) - rise(i + 1), where each rise takes 5 ms around the moment of change. The weights
    are never negative and add up to 1 however close the changes come, so the line is never louder than its tones. A
    tone starts at the point of its period that the one before has reached, as air in one bore does.
    """

    def __init__(self, schedule: Schedule, chanter: ChanterTones) -> None:
        self.end_frame = max(HALF_FADE, round(schedule.duration_s * SAMPLE_RATE_HZ))
        centres = [max(HALF_FADE, round(state.at_s * SAMPLE_RATE_HZ)) for state in schedule.states]
        self._centres = np.array([*centres, self.end_frame], np.int64)
        self._loops = [None if state.kind is EventKind.REST else chanter.loop(state.state) for state in schedule.states]
        self._offsets = _offsets_in_phase(centres, self._loops)

    def phase_at(self, frame: int) -> float | None:
        """The phase, 0 to 1, of the tone that sounds at `frame`; None in a rest and outside the tune."""
        index = max(0, int(np.searchsorted(self._centres, frame, "right")) - 1)
        loop = self._loops[index] if index < len(self._loops) else None
        return None if loop is None else loop.phase_at(frame + self._offsets[index])

    def add_to(self, out: NDArray[np.float32], start: int, phase: float = 0.0) -> None:
        """Add frames start, start + 1, ... to `out` (mono). Before 0 and after the end there is silence."""
        stop = start + len(out)
        first = int(np.searchsorted(self._centres, start - HALF_FADE, "right")) - 1
        last = int(np.searchsorted(self._centres, stop + HALF_FADE, "left"))
        for index in range(max(0, first), min(last, len(self._loops))):
            loop = self._loops[index]
            if loop is not None:
                offset = self._offsets[index] + loop.frame_at(phase)
                self._add_state(index, loop, offset, out, start)

    def _add_state(self, index: int, loop: Loop, offset: int, out: NDArray[np.float32], start: int) -> None:
        for begin, end, faded in self._stretches(index):
            begin, end = max(begin, start), min(end, start + len(out))
            if begin < end:
                part = out[begin - start : end - start]
                if faded:
                    weight = self._rise(index, begin, end) - self._rise(index + 1, begin, end)
                    part += weight * loop.cut(begin + offset, end - begin)
                else:
                    loop.add_to(part, begin + offset)

    def _stretches(self, index: int) -> tuple[tuple[int, int, bool], ...]:
        """The frames (first, stop, whether it fades) of a state, in stretches that are either a fade or steady."""
        rise_at, fall_at = (int(centre) - HALF_FADE for centre in self._centres[index : index + 2])
        steady_at, end = rise_at + FADE_FRAMES, fall_at + FADE_FRAMES
        if steady_at > fall_at:  # too short for the two fades to part
            return ((rise_at, end, True),)
        return (rise_at, steady_at, True), (steady_at, fall_at, False), (fall_at, end, True)

    def _rise(self, index: int, begin: int, end: int) -> NDArray[np.float32]:
        """How far state `index` has faded in over frames begin to end - 1: 0 before its fade, 1 after it."""
        at = begin - (int(self._centres[index]) - HALF_FADE)
        at = _LONGEST_FADED + min(max(at, -_LONGEST_FADED), FADE_FRAMES)
        return _PADDED_RISE[at : at + end - begin]


# A state that is all fade is shorter than two fades, and no other faded stretch is longer.
_LONGEST_FADED = 2 * FADE_FRAMES
_PADDED_RISE = np.concatenate((np.zeros(_LONGEST_FADED), RISE, np.ones(_LONGEST_FADED))).astype(np.float32)


def _offsets_in_phase(centres: list[int], loops: list[Loop | None]) -> list[int]:
    """For each tone, by how many frames its loop is ahead of the tune, so that tones follow each other in phase."""
    offsets = [0] * len(loops)
    phase_from: tuple[Loop, int] | None = None
    for index, (centre, loop) in enumerate(zip(centres, loops, strict=True)):
        if loop is None:
            continue
        if phase_from is not None:
            before, offset = phase_from
            same = before is loop
            offsets[index] = offset if same else loop.frame_at(before.phase_at(centre + offset)) - centre
        phase_from = (loop, offsets[index])
    return offsets
