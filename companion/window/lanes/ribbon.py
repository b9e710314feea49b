"""Draws the finger lanes: what comes flows in from the right to the chanter, what was leaves to the left."""

from __future__ import annotations

from bisect import bisect_left, bisect_right, insort
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from companion.schedule.bars import Accent, Ticking
from companion.schedule.count_in import CountIn, Tick, ticks_of
from companion.schedule.events import EventKind, Schedule
from companion.schedule.lanes import Lane
from companion.schedule.spans import Span
from companion.schedule.timing import Gracing, Timing
from companion.window.core.layout import Layout
from companion.window.core.marks import Anchor, Dot, Label, Mark, Measure, Role, Rule, Style
from companion.window.lanes.lane_marks import ALWAYS, LaneStyle, Sight, lane_marks
from companion.window.lanes.repeat_marks import edge_marks, repeat_marks
from fingering.embellishments import Family

STRIPE_MM = 4.6
ARCH_MM = 4.2
_DOT_LINES = {Accent.BAR: 0.2, Accent.BEAT: 0.13, Accent.PART: 0.08}
"""The radius of a tick's dot, in lines of text."""
_CLOSENESS = {Gracing.STRETCH: 0.75, Gracing.CRISP: 0.4}  # powers of the slow-down


@dataclass(frozen=True, slots=True)
class Caption:
    """A word under the lanes that begins at `at_s`. The lower its `rank`, the sooner it gets room."""

    at_s: float
    text: str
    y: float
    style: Style
    rank: int = 0


def scale_px_per_s(layout: Layout, timing: Timing) -> float:
    """Pixels a second of the schedule: more when slowed, so that gracenotes get room, and more for crisp ones."""
    shrunk: float = timing.slow_down ** _CLOSENESS[timing.gracing]
    return layout.px_per_s / shrunk


class Ribbon:
    """The lanes of one schedule in one layout, computed once; `marks` picks what is in sight at a moment."""

    def __init__(self, schedule: Schedule, lanes: Sequence[Lane], layout: Layout, timing: Timing, measure: Measure):
        self._schedule = schedule
        self._lanes = lanes
        self._layout = layout
        self._scale = scale_px_per_s(layout, timing)
        thickness = STRIPE_MM * layout.mm
        right = layout.width + thickness
        self._style = LaneStyle(-thickness, right, layout.now_x, thickness, ARCH_MM * layout.mm)
        self._ticks = {pulse: ticks_of(schedule, pulse) for pulse in Ticking}
        self._captions = tuple(self._caption_all(measure))

    def x_at(self, time_s: float, now_s: float) -> float:
        """The x of the moment `time_s` when the present is `now_s`."""
        return self._layout.now_x + (time_s - now_s) * self._scale

    def time_at(self, x: float, now_s: float) -> float:
        """The moment (s) at `x` when the present is `now_s`."""
        return now_s + (x - self._layout.now_x) / self._scale

    def still_marks(self) -> list[Mark]:
        """The marks that do not move: the lines of the lanes."""
        return [Rule(0, y, self._layout.width, y, Role.HAIR) for y in self._layout.lane_ys]

    def marks(
        self, now_s: float, span: Span | None, count: CountIn | None = None, pulse: Ticking = Ticking.BEATS
    ) -> list[Mark]:
        """The marks in sight when the present is `now_s`, from the back to the front.

        span: the stretch that is repeated; where that is not the whole tune, what lies outside is quieter. count: the
        count-in that goes on, whose beats stand before the tune's start in place of what the tune has there. pulse:
        which dots stand below the lanes.
        """
        part = span if span and not self._is_whole(span) else None
        starts_s = count.place_s if count else float("-inf")
        first_s, last_s = self.time_at(0, now_s), self.time_at(self._layout.width, now_s)
        sight = Sight(now_s, first_s, last_s, starts_s, part or ALWAYS)
        ticks = self._ticks[pulse]
        if count:
            ticks = count.joined_to(ticks, pulse)
        marks: list[Mark] = [*self._grid(_within(ticks, first_s, last_s), now_s), *self._ends(span, part, now_s)]
        for lane in self._lanes:
            y = self._layout.lane_y(lane.finger)
            marks += lane_marks(lane, sight, lambda time_s: self.x_at(time_s, now_s), y, self._style)
        return [*marks, *self._words(sight)]

    def _is_whole(self, span: Span) -> bool:
        events = self._schedule.events
        return not events or (span.start_s <= events[0].start_s and span.end_s >= self._schedule.duration_s)

    def _ends(self, span: Span | None, part: Span | None, now_s: float) -> Iterator[Mark]:
        def x_at(time_s: float) -> float:
            return self.x_at(time_s, now_s)

        if span is not None:
            yield from repeat_marks(span, x_at, self._layout)
        if part is not None:
            yield from edge_marks(part, x_at, self._layout)

    def _grid(self, ticks: Sequence[Tick], now_s: float) -> Iterator[Mark]:
        top, bottom = self._layout.strokes_top, self._layout.strokes_bottom
        for tick in ticks:
            x = self.x_at(tick.at_s, now_s)
            first = tick.accent is Accent.BAR
            radius = self._layout.line * _DOT_LINES[tick.accent]
            yield Dot(x, self._layout.beats_y, radius, Role.INK if first else Role.PAST)
            if first:
                yield Rule(x, top, x, bottom, Role.HAIR, 2.0)

    def _words(self, sight: Sight) -> Iterator[Mark]:
        now_s, lead_s = sight.now_s, self._layout.width / self._scale * 0.2
        start = bisect_left(self._captions, max(sight.first_s - lead_s, sight.starts_s), key=lambda each: each.at_s)
        stop = bisect_right(self._captions, sight.last_s, key=lambda each: each.at_s)
        for caption in self._captions[start:stop]:
            x = self.x_at(caption.at_s, now_s)
            role = Role.INK if caption.at_s >= now_s and sight.repeated.holds(caption.at_s) else Role.QUIET
            yield Label(x, caption.y, caption.text, caption.style, role, Anchor.LEFT)

    def _caption_all(self, measure: Measure) -> list[Caption]:
        """The names under the notes, as many as have room; chosen once, so that none comes and goes while they flow."""
        rows: dict[float, list[tuple[float, float]]] = {self._layout.names_y: [], self._layout.notes_y: []}
        gap = self._layout.line * 0.5
        captions: list[Caption] = []
        for wanted in sorted(_captions_wanted(self._schedule, self._layout), key=lambda each: each.rank):
            x = wanted.at_s * self._scale
            taken = (x, x + measure.width(wanted.text, wanted.style) + gap)
            if _has_room(rows[wanted.y], taken):
                insort(rows[wanted.y], taken)
                captions.append(wanted)
        return sorted(captions, key=lambda each: each.at_s)


def _has_room(taken: Sequence[tuple[float, float]], wanted: tuple[float, float]) -> bool:
    """Whether `wanted` overlaps none of the stretches `taken`, which are in order."""
    place = bisect_left(taken, wanted)
    left_is_free = place == 0 or taken[place - 1][1] <= wanted[0]
    return left_is_free and (place == len(taken) or wanted[1] <= taken[place][0])


def _within(ticks: Sequence[Tick], first_s: float, last_s: float) -> Sequence[Tick]:
    start = bisect_left(ticks, first_s, key=lambda tick: tick.at_s)
    stop = bisect_right(ticks, last_s, key=lambda tick: tick.at_s)
    return ticks[start:stop]


def _captions_wanted(schedule: Schedule, layout: Layout) -> Iterator[Caption]:
    for event in schedule.events:
        embellishment = schedule.embellishments[event.played]
        if event.kind is EventKind.GRACENOTE and event.grace == 0 and embellishment:
            rank = 1 if embellishment.family is Family.SINGLE else 0
            yield Caption(event.start_s, embellishment.name, layout.names_y, layout.words.names, rank)
        elif event.kind is EventKind.MELODY:
            yield Caption(event.start_s, event.note.label, layout.notes_y, layout.words.notes)
