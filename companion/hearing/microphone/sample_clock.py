"""When each sample of a microphone sounded, on the computer's clock: a line through what came when."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from statistics import median

BLOCK_S = 0.25
"""In each stretch of this length only the block that came soonest counts: a busy computer is late, never too soon."""

POINTS = 120
ENOUGH_TO_TILT = 20
"""The line goes through the last 30 s. Before there are 5 s it has no tilt of its own: a sound card's clock strays by
some 0.1 ms in a second at most, and over less the jitter of single blocks would tilt it more."""

STEP_S = 0.003
STEP_BLOCKS, MOST_ASIDE = 4, 12
"""What comes later than the line by more, for so many blocks on end that agree on it, is late for good: samples before
it were lost. A computer that is held up is late by something else each time; after 3 s of that it is believed too."""

FILLED_S = 0.020
"""The least lost sound that is filled in with silence, so that a recording keeps time with what is played beside it."""

MOST_FILLED_S = 2.0
"""How much of a loss is filled in at most: a computer that slept has lost more than anyone needs as silence."""


@dataclass(frozen=True, slots=True)
class _Point:
    """How much later than by the nominal rate the sample `sample` came."""

    sample: int
    late_s: float


class MicrophoneClock:
    """Turns numbers of samples into times on the clock of time.perf_counter, and back. rate_hz: the nominal rate.

    What is told is when the last sample of each block was handed over, less what hand-overs stray by. What the sound
    system keeps a sample for before it hands it over is in it, since no system tells that.
    """

    def __init__(self, rate_hz: float) -> None:
        self.total = 0
        self._rate_hz = rate_hz
        self._points: deque[_Point] = deque(maxlen=POINTS)
        self._aside: list[_Point] = []
        self._best: _Point | None = None
        self._block_begins = 0
        self._level_s, self._at, self._tilt = 0.0, 0, 0.0
        self._owed_s = 0.0

    def take(self, at_s: float, frames: int) -> int:
        """Note that a block of samples was handed over at `at_s`; return how many more must be filled in after it."""
        self.total += frames
        point = _Point(self.total, at_s - self.total / self._rate_hz)
        if self._best is None or point.late_s < self._best.late_s:
            self._best = point
            if not self._points:  # no whole block yet
                self._level_s, self._at = point.late_s, point.sample
        if self.total - self._block_begins < BLOCK_S * self._rate_hz:
            return 0
        best, self._best, self._block_begins = self._best, None, self.total
        filled = self._place(best)
        self._fit()
        return filled

    def fill(self, frames: int) -> None:
        """Take note that some samples are known to be lost, and that silence stands for them."""
        self.total += frames

    def time_of(self, sample: float) -> float:
        """When a sample sounded, counted from the first one."""
        return sample / self._rate_hz + self._level_s + self._tilt * (sample - self._at)

    def sample_at(self, at_s: float) -> float:
        """Which sample sounded at a time; may lie before the first, and after the last one."""
        return (at_s - self._level_s + self._tilt * self._at) / (1.0 / self._rate_hz + self._tilt)

    def _place(self, best: _Point) -> int:
        """Put the best of a block with the others, or see that all of it is late. Returns what must be filled in."""
        late_s = best.late_s - self._line(best.sample)
        if not self._points:
            self._points.append(best)
        elif late_s < -STEP_S:
            self._owe(late_s)
            self._begin([best])
        elif late_s <= STEP_S:
            self._points.append(best)
            self._aside.clear()
        else:
            self._aside.append(best)
            last = self._aside[-STEP_BLOCKS:]
            lates_s = [each.late_s for each in last]
            agree = len(last) == STEP_BLOCKS and max(lates_s) - min(lates_s) < STEP_S
            if agree or len(self._aside) == MOST_ASIDE:
                return self._step(last)
        return 0

    def _step(self, late: list[_Point]) -> int:
        self._owe(median(each.late_s - self._line(each.sample) for each in late))
        filled = round(min(self._owed_s, MOST_FILLED_S) * self._rate_hz) if self._owed_s >= FILLED_S else 0
        if filled:
            self._owed_s = 0.0
            self.total += filled
            self._block_begins = self.total
        filled_s = filled / self._rate_hz
        self._begin([_Point(each.sample + filled, each.late_s - filled_s) for each in late])
        return filled

    def _owe(self, step_s: float) -> None:
        """Of a beginning nothing is known: its first blocks may have been held up."""
        if len(self._points) > STEP_BLOCKS:
            self._owed_s += step_s

    def _begin(self, points: list[_Point]) -> None:
        """Go on from these points alone; the tilt is the sound card's, and stays."""
        self._points = deque(points, POINTS)
        self._aside = []

    def _line(self, sample: int) -> float:
        return self._level_s + self._tilt * (sample - self._at)

    def _fit(self) -> None:
        """The line of least squares, in seconds late over samples."""
        count = len(self._points)
        self._at = sum(each.sample for each in self._points) // count
        mean_s = sum(each.late_s for each in self._points) / count
        if count >= ENOUGH_TO_TILT:
            spread = sum((each.sample - self._at) ** 2 for each in self._points)
            self._tilt = sum((each.sample - self._at) * (each.late_s - mean_s) for each in self._points) / spread
        self._level_s = mean_s - self._tilt * (sum(each.sample for each in self._points) / count - self._at)
