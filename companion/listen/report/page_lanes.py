"""The lanes of a take as pictures: what was asked and what was played over each other, a few seconds to a picture.

Here is decided what stands where; `templates/lanes.svg` draws it. Lengths and places are the units of the picture.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from companion.listen.judgement import Judgement
from companion.listen.report.overlay import StateSpan
from companion.listen.report.page_lines import LINE_S, PageLine, TakeLanes
from companion.schedule.events import EventKind
from fingering.holes import Finger

BEFORE_S, AFTER_S = 0.35, 0.15
"""What is shown, fainter, of the lines before and after: a finding at a line's edge has its surroundings."""

_NAME_WIDTH = 50.0
_NUMBER_WIDTH = 18.0
_TIMES_BETWEEN_S = 0.5


@dataclass(frozen=True, slots=True)
class LaneGrid:
    """The measures of every picture: lanes from `left` and `top`, the lower hand's a `gap` below the upper's."""

    width: float = 480.0
    left: float = 60.0
    top: float = 42.0
    lane: float = 16.0
    gap: float = 8.0

    @property
    def bottom(self) -> float:
        """Where the lanes end."""
        return self.top + len(Finger) * self.lane + self.gap

    @property
    def height(self) -> float:
        """The height of a picture, with letters and times below the lanes."""
        return self.bottom + 38.0

    @property
    def per_s(self) -> float:
        """The width of a second."""
        return (self.width - self.left) / (BEFORE_S + LINE_S + AFTER_S)

    def lane_y(self, finger: Finger) -> float:
        """Where a finger's lane begins."""
        return self.top + finger * self.lane + (self.gap if finger >= Finger.LOWER_INDEX else 0.0)

    def right(self, line: PageLine) -> float:
        """Where a line's lanes end."""
        return self.left + (line.end_s - line.begin_s + BEFORE_S + AFTER_S) * self.per_s

    def x(self, at_s: float, line: PageLine) -> float:
        """Where a moment stands in a line, in pixels from the left; what is before or after the line stands at its
        ends."""
        return min(max(self.left + (at_s - line.begin_s + BEFORE_S) * self.per_s, self.left), self.right(line))


GRID = LaneGrid()


@dataclass(frozen=True, slots=True)
class Pointer:
    """What points at a finding: its triangle at `x`, its number, counted from 1, at `number_x`, its fingers' frames."""

    number: int
    text: str
    x: float
    number_x: float
    finger_ys: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class LanePicture:
    """The picture of a line.

    label: what it shows, for those who do not see it. right: where its lanes end. lanes: names and where each begins.
    ticks: of the time, with words at whole seconds, "" between them. closed: what was asked or played, x, y, width and
    height. letters: of the melody. beside: from where to where the neighbouring lines are fainter. begins_in: the bar
    within which the line begins, "" where it begins with one; begin_x: where. bars: their lines and names, "" where
    there is no room.
    """

    label: str
    right: float
    lanes: tuple[tuple[str, float], ...]
    beats: tuple[float, ...]
    ticks: tuple[tuple[float, str], ...]
    closed: tuple[tuple[str, float, float, float, float], ...]
    letters: tuple[tuple[float, str], ...]
    beside: tuple[tuple[float, float], ...]
    begins_in: str
    begin_x: float
    bars: tuple[tuple[float, str], ...]
    findings: tuple[Pointer, ...]
    grid: LaneGrid = GRID


def picture_of(judgement: Judgement, lanes: TakeLanes, line: PageLine) -> LanePicture:
    """The picture of one line."""
    begin_x, right = GRID.x(line.begin_s, line), GRID.right(line)
    bars_s = [beat.at_s for beat in lanes.heard.beats if beat.first and line.begin_s - 0.1 <= beat.at_s < line.end_s]
    within = not bars_s or bars_s[0] > line.begin_s + 0.1
    beats = (beat.at_s for beat in lanes.heard.beats if not beat.first and _shown(line, beat.at_s))
    return LanePicture(
        label=label_of(lanes, line),
        right=right,
        lanes=tuple((finger.label.split()[-1], GRID.lane_y(finger)) for finger in Finger),
        beats=tuple(GRID.x(at_s, line) for at_s in beats),
        ticks=tuple(_ticks(line)),
        closed=tuple(_closed_lanes(lanes, line)),
        letters=tuple(_letters(lanes, line)),
        beside=((GRID.left, begin_x), (GRID.x(line.end_s, line), right)),
        begins_in=bar_name(lanes.bar_at(line.begin_s)) if within else "",
        begin_x=begin_x,
        bars=tuple(_bars(bars_s, lanes, line, begin_x + _NAME_WIDTH if within else GRID.left)),
        findings=tuple(_pointers(judgement, line)),
    )


def label_of(lanes: TakeLanes, line: PageLine) -> str:
    """What a picture shows, for those who do not see it."""
    first, last = bar_name(lanes.bar_at(line.begin_s)), bar_name(lanes.bar_at(line.end_s - 1e-3))
    bars = first if first == last else f"{first} to {last}"
    found = [f"{number + 1}" for number in line.findings]
    marked = f", with finding{'s' if len(found) > 1 else ''} {', '.join(found)}" if found else ""
    return f"Lanes of {bars}, from {line.begin_s:.1f} to {line.end_s:.1f} seconds{marked}"


def bar_name(number: int) -> str:
    """ "bar 3", "pick-up"."""
    return f"bar {number}" if number else "pick-up"


def _shown(line: PageLine, at_s: float) -> bool:
    return line.begin_s - BEFORE_S <= at_s <= line.end_s + AFTER_S


def _ticks(line: PageLine) -> Iterator[tuple[float, str]]:
    for half in range(math.ceil(line.begin_s / _TIMES_BETWEEN_S), math.floor(line.end_s / _TIMES_BETWEEN_S) + 1):
        at_s = half * _TIMES_BETWEEN_S
        yield GRID.x(at_s, line), f"{int(at_s) // 60}:{int(at_s) % 60:02d}" if at_s.is_integer() else ""


def _closed_lanes(lanes: TakeLanes, line: PageLine) -> Iterator[tuple[str, float, float, float, float]]:
    played, asked = (
        [span for span in spans if _shown(line, span.start_s) or span.start_s < line.begin_s < span.end_s]
        for spans in (lanes.played, lanes.asked)
    )
    for finger in Finger:
        for style, spans, inset in (("played", played, 4.0), ("asked", asked, 1.5)):
            y, height = GRID.lane_y(finger) + inset, GRID.lane - 2.0 * inset
            for start_s, end_s in _closed(spans, finger):
                x = GRID.x(start_s, line)
                yield style, x, y, max(0.5, GRID.x(end_s, line) - x), height


def _closed(spans: Sequence[StateSpan], finger: Finger) -> Iterator[tuple[float, float]]:
    """The stretches in which a hole stays closed."""
    run: list[StateSpan] = []
    for span in [*spans, None]:
        closed = span is not None and span.state.closed(finger)
        if span is not None and closed and (not run or span.start_s <= run[-1].end_s + 1e-6):
            run.append(span)
            continue
        if run:
            yield run[0].start_s, run[-1].end_s
        run = [span] if span is not None and closed else []


def _letters(lanes: TakeLanes, line: PageLine) -> Iterator[tuple[float, str]]:
    """The melody's letters, where they were asked."""
    for event in lanes.heard.events:
        if event.kind is EventKind.MELODY and line.begin_s <= event.start_s < line.end_s:
            yield GRID.x(event.start_s, line), event.note.letter


def _bars(bars_s: Sequence[float], lanes: TakeLanes, line: PageLine, free_from: float) -> Iterator[tuple[float, str]]:
    for at_s in bars_s:
        x = GRID.x(at_s, line)
        named = x >= free_from
        yield x, bar_name(lanes.bar_at(at_s + 1e-3)) if named else ""
        free_from = x + _NAME_WIDTH if named else free_from


def _pointers(judgement: Judgement, line: PageLine) -> Iterator[Pointer]:
    free_from = GRID.left
    for number in line.findings:
        finding = judgement.findings[number]
        x = GRID.x(finding.at_s, line)
        number_x = min(max(x + 5.0, free_from), GRID.width - _NUMBER_WIDTH)
        free_from = number_x + _NUMBER_WIDTH
        yield Pointer(number + 1, finding.text, x, number_x, tuple(map(GRID.lane_y, finding.fingers)))
