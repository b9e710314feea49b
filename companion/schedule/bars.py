"""Lists the bars of a performance in time: where each begins, how fast it goes, how much of its metre went before, and
the parts into which a metronome may divide its beats.
"""

from __future__ import annotations

import enum
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from companion.schedule.pace import BarPace
from companion.score.model import Bar, Meter

FAR_APART_S = 1.0
"""Parts that come no closer than this are halved: what is further apart hardly helps to divide a slow beat. Common
practice, no source."""


class Ticking(enum.Enum):
    """What a metronome ticks: the beats of the metre alone, or the parts of each as well."""

    BEATS = "beats"
    PARTS = "beats and parts"


class Accent(enum.Enum):
    """How strong a tick is: that of a bar's first beat, of another beat, of a part of a beat."""

    BAR = "bar"
    BEAT = "beat"
    PART = "part"


@dataclass(frozen=True, slots=True)
class BeatPart:
    """A part of a beat, when it begins in seconds of the schedule. The first part of each is the beat itself."""

    at_s: float
    accent = Accent.PART


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


def parts_of_beat(meter: Meter, beat_s: float) -> int:
    """How many parts a beat of `beat_s` seconds has: three where it is dotted, else two; twice as many if slow."""
    parts = 3 if meter.beat_length.numerator == 3 else 2
    return 2 * parts if beat_s / parts >= FAR_APART_S else parts


def parts_in(bars: Iterable[TimedBar]) -> Iterator[BeatPart]:
    """Yield the parts between the beats of bars as played."""
    for bar in bars:
        beat = bar.meter.beat_length
        part: Fraction = beat / parts_of_beat(bar.meter, bar.beat_s)
        at = -bar.filled % part
        while at < bar.length:
            if (bar.filled + at) % beat:
                yield BeatPart(bar.start_s + float(at) * bar.whole_note_s)
            at += part
