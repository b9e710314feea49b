"""Stretches of a room's sound in which nothing but F and high G sounds, with how loud each of them is all along."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from companion.hearing.learnt import Learnt
from companion.hearing.notes.kept_samples import KeptSamples
from companion.hearing.notes.runs.near_levels import NearLevels
from companion.hearing.path import HeardStretch
from companion.hearing.spectra import Floats

STEP_FRAMES = 2
"""Levels are measured every 5 ms: a window of 20 ms tells no more."""

REACH_S = 0.25
"""How much of a note is looked at from its beginning on and up to its end, where it lasts for longer than both: what an
echo hides is near."""

SHORTEST_S = 0.12
"""A run that is shorter and all one note is a gracenote by itself, of which nothing is asked."""

BEFORE_FRAMES = 4
"""How long before what is looked at the levels are those of the echo that it begins in: 10 ms."""

LONGEST_S = 2.0
"""What is longer is looked at in pieces. A choice, no source."""


@dataclass(frozen=True, slots=True, eq=False)
class NearRun:
    """The levels of F and high G, as power beside how loud each was learnt: shape (steps, 2), float32. first: the frame
    of the first; begins: the frame with which the run begins, which may be earlier. before: the levels just before."""

    begins: int
    first: int
    before: tuple[float, float]
    levels: Floats

    @property
    def stop(self) -> int:
        """The frame after the last step."""
        return self.first + STEP_FRAMES * len(self.levels)


class RunMeter:
    """Measures runs as they are settled. Memory is that of what it was told to keep."""

    def __init__(self, learnt: Learnt, kept: KeptSamples) -> None:
        self._levels = NearLevels(learnt)
        self._kept = kept
        self._hop_s = learnt.grid.hop_s
        self._open: list[HeardStretch] = []
        self._found: list[NearRun] = []

    @property
    def found(self) -> list[NearRun]:
        """The runs so far, with the one that may still go on."""
        return [*self._found, *self._measured()]

    def needs_from(self, last: int) -> int:
        """The first frame that is needed still; last: the one after all that are settled."""
        return (self._open[0].first if self._open else last) - BEFORE_FRAMES

    def go_on(self, near: HeardStretch) -> None:
        """The next F or high G."""
        if self._open and near.first != self._open[-1].stop:
            self.end()
        self._open.append(near)

    def end(self) -> None:
        """What follows is neither."""
        self._found += self._measured()
        self._open = []

    def _measured(self) -> Iterator[NearRun]:
        if not self._open:
            return
        reach, longest = (round(each / self._hop_s) for each in (REACH_S, LONGEST_S))
        last = self._open[-1]
        if len(self._open) == 1 and (last.stop - last.first) * self._hop_s < SHORTEST_S:
            return
        begins = first = self._open[0].first
        for each in self._open:
            if each.stop - max(first, each.first) > 2 * reach:
                yield from self._piece(begins, first, each.first + reach)
                begins, first = each.first, each.stop if each is last else each.stop - reach
            elif each.stop - first > longest:
                yield from self._piece(begins, first, each.stop)
                begins = first = each.stop
        yield from self._piece(begins, first, last.stop)

    def _piece(self, begins: int, first: int, stop: int) -> Iterator[NearRun]:
        frames = np.arange(first, stop - STEP_FRAMES + 1, STEP_FRAMES)
        asked = np.concatenate(([first - BEFORE_FRAMES], frames))
        if len(frames) and self._kept.hold(asked).all():
            levels = self._levels.of(self._kept.windows(asked)).astype(np.float32)
            yield NearRun(begins, first, (float(levels[0, 0]), float(levels[0, 1])), levels[1:])
