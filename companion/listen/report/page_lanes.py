"""The lanes of a take as SVG: what was asked and what was played over each other, a few seconds to a picture."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from html import escape

from companion.listen.judgement import Judgement
from companion.listen.report.overlay import StateSpan
from companion.listen.report.page_lines import LINE_S, PageLine, TakeLanes
from companion.schedule.events import EventKind
from fingering.holes import Finger

BEFORE_S, AFTER_S = 0.35, 0.15
"""What is shown, fainter, of the lines before and after: a finding at a line's edge has its surroundings."""

WIDTH, LEFT, TOP, LANE, GAP = 480.0, 60.0, 42.0, 16.0, 8.0
BOTTOM = TOP + 8 * LANE + GAP
HEIGHT = BOTTOM + 38.0
_PER_S = (WIDTH - LEFT) / (BEFORE_S + LINE_S + AFTER_S)
_NUMBER_WIDTH = 18.0
_TIMES_BETWEEN_S = 0.5


def picture_of(judgement: Judgement, lanes: TakeLanes, line: PageLine, rank: int) -> str:
    """The picture of one line; `rank` is the take's on the page."""
    parts = [
        f'<svg viewBox="0 0 {WIDTH:.0f} {HEIGHT:.0f}" role="img" aria-label="{label_of(lanes, line)}"'
        ' xmlns="http://www.w3.org/2000/svg">',
        *_grid(lanes, line),
        *_lanes(lanes, line),
        *_letters(lanes, line),
        *_beside(line),
        *_bars(lanes, line),
        *_marks(judgement, line, rank),
    ]
    return "".join([*parts, "</svg>"])


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


def _lane_y(finger: Finger) -> float:
    return TOP + finger * LANE + (GAP if finger >= Finger.LOWER_INDEX else 0.0)


def _x(at_s: float, line: PageLine) -> float:
    x = LEFT + (at_s - line.begin_s + BEFORE_S) * _PER_S
    return min(max(x, LEFT), _right(line))


def _right(line: PageLine) -> float:
    return LEFT + (line.end_s - line.begin_s + BEFORE_S + AFTER_S) * _PER_S


def _within(line: PageLine, at_s: float) -> bool:
    return line.begin_s - BEFORE_S <= at_s <= line.end_s + AFTER_S


def _upright(style: str, x: float, top: float, bottom: float) -> str:
    return f'<path class="{style}" d="M{x:.1f} {top:.0f}V{bottom:.0f}"/>'


def _grid(lanes: TakeLanes, line: PageLine) -> Iterator[str]:
    """The fingers' names and lanes, the beats, and the time below."""
    for finger in Finger:
        y = _lane_y(finger)
        yield f'<text x="0" y="{y + LANE - 3:.0f}">{finger.label.split()[-1]}</text>'
        yield f'<path class="lane" d="M{LEFT:.0f} {y + LANE:.0f}H{_right(line):.1f}"/>'
    for beat in lanes.heard.beats:
        if _within(line, beat.at_s) and not beat.first:
            yield _upright("beat", _x(beat.at_s, line), TOP, BOTTOM)
    for half in range(math.ceil(line.begin_s / _TIMES_BETWEEN_S), math.floor(line.end_s / _TIMES_BETWEEN_S) + 1):
        at_s = half * _TIMES_BETWEEN_S
        x = _x(at_s, line)
        yield _upright("tick", x, HEIGHT - 18, HEIGHT - 13)
        if at_s.is_integer():
            words = f"{int(at_s) // 60}:{int(at_s) % 60:02d}"
            yield f'<text class="quiet" text-anchor="middle" x="{x:.1f}" y="{HEIGHT - 1:.0f}">{words}</text>'


def _lanes(lanes: TakeLanes, line: PageLine) -> Iterator[str]:
    played, asked = (
        [span for span in spans if _within(line, span.start_s) or span.start_s < line.begin_s < span.end_s]
        for spans in (lanes.played, lanes.asked)
    )
    for finger in Finger:
        yield from _closed(played, finger, line, "played", inset=4.0)
        yield from _closed(asked, finger, line, "asked", inset=1.5)


def _closed(spans: Sequence[StateSpan], finger: Finger, line: PageLine, style: str, *, inset: float) -> Iterator[str]:
    """A bar for each stretch in which a hole stays closed."""
    run: list[StateSpan] = []
    for span in [*spans, None]:
        closed = span is not None and span.state.closed(finger)
        if span is not None and closed and (not run or span.start_s <= run[-1].end_s + 1e-6):
            run.append(span)
            continue
        if run:
            x, end_x = _x(run[0].start_s, line), _x(run[-1].end_s, line)
            y, height = _lane_y(finger) + inset, LANE - 2.0 * inset
            size = f'width="{max(0.5, end_x - x):.1f}" height="{height:.1f}"'
            yield f'<rect class="{style}" x="{x:.1f}" y="{y:.1f}" {size}/>'
        run = [span] if span is not None and closed else []


def _letters(lanes: TakeLanes, line: PageLine) -> Iterator[str]:
    """The melody's letters under the lanes, where they were asked."""
    for event in lanes.heard.events:
        if event.kind is EventKind.MELODY and line.begin_s <= event.start_s < line.end_s:
            yield f'<text x="{_x(event.start_s, line):.1f}" y="{BOTTOM + 15:.0f}">{event.note.letter}</text>'


def _beside(line: PageLine) -> Iterator[str]:
    """What makes the neighbouring lines fainter."""
    for x, end_x in ((LEFT, _x(line.begin_s, line)), (_x(line.end_s, line), _right(line))):
        size = f'width="{end_x - x:.1f}" height="{BOTTOM - TOP + 2:.0f}"'
        yield f'<rect class="beside" x="{x:.1f}" y="{TOP - 1:.0f}" {size}/>'


def _bars(lanes: TakeLanes, line: PageLine) -> Iterator[str]:
    """The bar lines with the bars' numbers; a line that begins within a bar says in which."""
    lines_s = [beat.at_s for beat in lanes.heard.beats if beat.first and line.begin_s - 0.1 <= beat.at_s < line.end_s]
    free_from = LEFT
    if not lines_s or lines_s[0] > line.begin_s + 0.1:
        name = bar_name(lanes.bar_at(line.begin_s))
        yield f'<text class="quiet" x="{_x(line.begin_s, line):.1f}" y="12">{name}</text>'
        free_from = _x(line.begin_s, line) + 50.0
    for at_s in lines_s:
        x = _x(at_s, line)
        yield _upright("bar", x, 16, BOTTOM)
        if x >= free_from:
            yield f'<text x="{x:.1f}" y="12">{bar_name(lanes.bar_at(at_s + 1e-3))}</text>'
            free_from = x + 50.0


def _marks(judgement: Judgement, line: PageLine, rank: int) -> Iterator[str]:
    """A triangle with its number for each finding, a line down to its lanes, and a frame about its fingers."""
    free_from = LEFT
    for number in line.findings:
        finding = judgement.findings[number]
        x = _x(finding.at_s, line)
        yield _upright("where", x, TOP - 8, BOTTOM)
        for finger in finding.fingers:
            size = f'width="14" height="{LANE:.0f}" rx="3"'
            yield f'<rect class="finger" x="{x - 4:.1f}" y="{_lane_y(finger):.0f}" {size}/>'
        text_x = min(max(x + 5.0, free_from), WIDTH - _NUMBER_WIDTH)
        free_from = text_x + _NUMBER_WIDTH
        yield (
            f'<a href="#t{rank}f{number + 1}"><title>{escape(finding.text)}</title>'
            f'<path class="fault" d="M{x - 5:.1f} 24h10l-5 9z"/>'
            f'<text class="number" x="{text_x:.1f}" y="33">{number + 1}</text></a>'
        )
