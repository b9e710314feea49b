"""Lists the bars of a performance in time: where each begins, how fast it goes, how much of its metre went before."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from companion.schedule.pace import BarPace
from companion.score.model import Bar, Meter


@dataclass(frozen=True, slots=True)
class TimedBar:
    """One bar as played; `turn` is its index in the tune's order.

    filled: how much of a full bar, in whole notes, went before it: more than 0 in a pick-up, which is the end of a bar,
    and in a short bar that completes the one before. whole_note_s: seconds that a whole note lasts, slow-down included.
    """

    turn: int
    start_s: float
    length: Fraction
    filled: Fraction
    meter: Meter
    whole_note_s: float

    @property
    def beat_s(self) -> float:
        """Seconds from one beat of its metre to the next."""
        return float(self.meter.beat_length) * self.whole_note_s


def timed_bars(turns: Iterable[tuple[int, Bar]], pace: BarPace, slow_down: float) -> Iterator[TimedBar]:
    """Yield the bars, the first from 0 s on; a short bar that completes the one before, or a pick-up, goes on in its
    metre.
    """
    start_s = 0.0
    filled = Fraction(0)
    for turn, bar in turns:
        full = bar.meter.bar_length or bar.length
        if bar.number == 0 and bar.length < full:
            filled = full - bar.length
        if filled + bar.length > full:
            filled = Fraction(0)
        whole_note_s = pace.seconds_per_whole(bar) * slow_down
        yield TimedBar(turn, start_s, bar.length, filled, bar.meter, whole_note_s)
        start_s += float(bar.length) * whole_note_s
        filled = (filled + bar.length) % full if full else Fraction(0)
