"""The count-in: the beats that are counted before a tune starts, at its beginning or anywhere within it."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import count
from math import ceil

from companion.schedule.bars import Accent, BeatPart, Ticking, TimedBar, parts_in, parts_of_beat
from companion.schedule.events import Beat, Schedule
from companion.schedule.pace import followed
from companion.schedule.spans import Span

BREATH_S = 0.1
"""A moment of silence before the first beat: a loudspeaker's first 5 ms fade in, and would take its edge off."""

ON_THE_BEAT_S = 0.0005
"""What starts this close to a beat starts on it: more than the rounding to a frame, less than anyone hears."""


FREE_BEATS = 4
"""Beats of a bar that are counted between two rounds where the metre is free. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class CountedBeat:
    """A beat that is counted: when, in seconds of the schedule, and its number in its bar, from 1."""

    at_s: float
    number: int

    @property
    def first(self) -> bool:
        """Whether a bar begins with it."""
        return self.number == 1

    @property
    def accent(self) -> Accent:
        """How strong its tick is."""
        return Accent.BAR if self.first else Accent.BEAT


Tick = Beat | CountedBeat | BeatPart
"""What a metronome ticks: a beat of the tune, one that is counted, or a part of either."""


@dataclass(frozen=True, slots=True)
class CountIn:
    """The beats that lead to `place_s`, where the tune starts. Their times are those of a tune that went on before it,
    and so may be below 0.

    bar_beats: how many beats a bar has. starts_on: the number of the beat on which the tune starts, None between two.
    parts: those of the beats. breath_s: the silence before the first beat. within: whether it is a rest between two
    rounds of what is repeated, in which the drones go on.
    """

    place_s: float
    beats: tuple[CountedBeat, ...]
    bar_beats: int
    starts_on: int | None
    parts: tuple[BeatPart, ...] = ()
    breath_s: float = BREATH_S
    within: bool = False

    @property
    def begins_s(self) -> float:
        """When it begins: a breath before its first beat."""
        return self.beats[0].at_s - self.breath_s

    @property
    def length_s(self) -> float:
        """Seconds from its beginning to the tune's start."""
        return self.place_s - self.begins_s

    def joined_to(self, ticks: Sequence[Tick], pulse: Ticking = Ticking.BEATS) -> list[Tick]:
        """Its beats, with their parts if the pulse asks for them, and after them those of the tune, `ticks`, from the
        place on where that starts.
        """
        first = bisect_left(ticks, self.place_s - ON_THE_BEAT_S, key=lambda tick: tick.at_s)
        return [*in_order(self.beats, self.parts if pulse is Ticking.PARTS else ()), *ticks[first:]]

    def beat_at(self, time_s: float) -> CountedBeat:
        """The beat that is counted at `time_s`; the first one in the breath before it."""
        return self.beats[self.index_at(time_s)]

    def index_at(self, time_s: float) -> int:
        """The index in `beats` of the beat that is counted at `time_s`."""
        return max(0, bisect_right(self.beats, time_s, key=lambda beat: beat.at_s) - 1)


def count_in(schedule: Schedule, place_s: float) -> CountIn | None:
    """The count-in of a tune that starts at `place_s`: one full bar, then the beats that go before that place in its
    own bar. So a pick-up of one beat in 4/4 is counted in "1 2 3 4 1 2 3", and falls on the four.

    A bar is counted whole, and not its last beats alone, whatever the tune starts with: common practice, no source. The
    beats are those of the bar in which the place lies, as the metronome has them (two in 6/8), at its tempo and
    slow-down. The place itself may lie between two beats; the count is on the beats all the same, so that the next one
    of the tune comes when it is due.

    None where nothing can be counted: outside a tune, in a free metre, which has no bars, and where beats are further
    apart than any metronome has them (six seconds), since no ear follows those.
    """
    bar = _bar_at(schedule, place_s)
    if bar is None or bar.meter.bar_length is None or followed(60.0 / bar.beat_s) is None:
        return None
    return _counted(bar, place_s, lambda stands, bar_beats: stands + bar_beats)


def rest_between(
    schedule: Schedule, ended_s: float, span: Span, least: Callable[[Span, float, int], float]
) -> CountIn | None:
    """The rest in which the pulse goes on from `ended_s`, where a round is over, to the start of `span`, where the next
    one begins; None for none, and outside a tune.

    least: how many beats it has at least, of the stretch, the seconds of a beat and the beats of a bar. It has as much
    of a beat more as the pulse needs to go on, where a stretch ends or begins between two beats.
    """
    bar, before = _bar_at(schedule, span.start_s), _bar_at(schedule, ended_s - 2.0 * ON_THE_BEAT_S)
    if bar is None or before is None:
        return None
    wanted = least(span, bar.beat_s, _beats_in(bar))
    if wanted <= 0.0:
        return None
    more = (_stands(bar, span.start_s) - _stands(before, ended_s)) % 1.0
    if more > 1.0 - ON_THE_BEAT_S / bar.beat_s:
        more = 0.0
    lead = ceil(wanted - more - ON_THE_BEAT_S / bar.beat_s) + more
    counted = _counted(bar, span.start_s, lambda stands, bar_beats: lead)
    return replace(counted, breath_s=counted.beats[0].at_s - span.start_s + lead * bar.beat_s, within=True)


def _counted(bar: TimedBar, place_s: float, lead: Callable[[float, int], float]) -> CountIn:
    """The beats before a place in a bar. lead: how many, from where the place stands in its bar and the bar's beats."""
    beat_s, full, parts = bar.beat_s, _beats_in(bar), parts_of_beat(bar.meter, bar.beat_s)
    stands = _stands(bar, place_s) % full
    if stands * beat_s > full * beat_s - ON_THE_BEAT_S:
        stands -= full
    near = ON_THE_BEAT_S / beat_s
    beats: list[CountedBeat] = []
    between: list[BeatPart] = []
    for rank in count(ceil((stands - lead(stands, full) - near) * parts)):
        if rank / parts >= stands - near:
            break
        at_s = place_s - (stands - rank / parts) * beat_s
        if rank % parts:
            between.append(BeatPart(at_s))
        else:
            beats.append(CountedBeat(at_s, rank // parts % full + 1))
    on_the_beat = abs(stands - round(stands)) < near
    starts_on = round(stands) % full + 1 if on_the_beat else None
    return CountIn(place_s, tuple(beats), full, starts_on, tuple(between))


def _beats_in(bar: TimedBar) -> int:
    """The beats of a full bar; in a free metre, which has no bars, four are counted again and again."""
    return round(bar.meter.bar_length / bar.meter.beat_length) if bar.meter.bar_length else FREE_BEATS


def _stands(bar: TimedBar, place_s: float) -> float:
    """How many beats of its full bar went before a place in a bar."""
    return ((place_s - bar.start_s) / bar.whole_note_s + float(bar.filled)) / float(bar.meter.beat_length)


def in_order(*ticks: Sequence[Tick]) -> list[Tick]:
    """Several rows of ticks as one, in order of time."""
    return sorted((each for row in ticks for each in row), key=lambda tick: tick.at_s)


def ticks_of(schedule: Schedule, pulse: Ticking) -> list[Tick]:
    """What a metronome ticks while a tune plays, in order."""
    return in_order(schedule.beats, tuple(parts_in(schedule.bars)) if pulse is Ticking.PARTS else ())


def _bar_at(schedule: Schedule, place_s: float) -> TimedBar | None:
    index = bisect_right(schedule.bars, place_s + ON_THE_BEAT_S, key=lambda bar: bar.start_s) - 1
    return schedule.bars[index] if index >= 0 else None
