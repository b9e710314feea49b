"""The pulse of a tune: its beats, and the parts that a metronome may tick between them."""

from __future__ import annotations

import enum
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from companion.schedule.bars import TimedBar
from companion.score.model import Meter

FAR_APART_S = 1.0
"""Parts that come no closer than this are halved: what is further apart hardly helps to divide a slow beat. Common
practice, no source."""


class Pulse(enum.Enum):
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
