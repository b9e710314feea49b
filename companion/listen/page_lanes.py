"""The lanes of a take as SVG: what was asked and what was played over each other, a few seconds to a line."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from html import escape

from companion.listen.judgement import Judgement
from companion.listen.overlay import Span, asked_spans, played_spans
from fingering.holes import Finger

LINE_S = 6.0
WIDTH, LEFT, TOP, LANE, GAP = 960.0, 84.0, 26.0, 13.0, 5.0
_PER_S = (WIDTH - LEFT) / LINE_S
_HEIGHT = TOP + 8 * LANE + GAP + 18.0


def systems_of(judgement: Judgement, rank: int) -> Iterator[str]:
    """One SVG picture for each LINE_S seconds of the take."""
    asked, played = asked_spans(judgement), played_spans(judgement.events)
    if not played:
        return
    start_s, end_s = played[0].start_s, played[-1].end_s
    lines = max(1, int((end_s - start_s) / LINE_S) + 1)
    for line in range(lines):
        begin_s = start_s + line * LINE_S
        yield _system(judgement, rank, _within(asked, begin_s), _within(played, begin_s), begin_s)


def _within(spans: Sequence[Span], begin_s: float) -> list[Span]:
    return [span for span in spans if span.start_s < begin_s + LINE_S and span.end_s > begin_s]


def _system(judgement: Judgement, rank: int, asked: Sequence[Span], played: Sequence[Span], begin_s: float) -> str:
    label = f"Lanes from {begin_s:.0f} to {begin_s + LINE_S:.0f} seconds"
    parts = [
        f'<svg viewBox="0 0 {WIDTH:.0f} {_HEIGHT:.0f}" role="img" aria-label="{label}" xmlns="http://www.w3.org/2000/svg">'
    ]
    for finger in Finger:
        y = _lane_y(finger)
        parts.append(f'<text class="word" x="0" y="{y + LANE - 3:.1f}">{escape(finger.label)}</text>')
        parts.append(f'<line class="lane" x1="{LEFT:.0f}" x2="{WIDTH:.0f}" y1="{y + LANE:.1f}" y2="{y + LANE:.1f}"/>')
        parts += _bars(played, finger, begin_s, "played", inset=3.0)
        parts += _bars(asked, finger, begin_s, "asked", inset=1.0)
    parts += _letters(asked, begin_s)
    parts += _marks(judgement, rank, begin_s)
    return "".join([*parts, "</svg>"])


def _lane_y(finger: Finger) -> float:
    return TOP + finger * LANE + (GAP if finger >= Finger.LOWER_INDEX else 0.0)


def _x(at_s: float, begin_s: float) -> float:
    return LEFT + min(max(at_s - begin_s, 0.0), LINE_S) * _PER_S


def _bars(spans: Sequence[Span], finger: Finger, begin_s: float, style: str, *, inset: float) -> Iterator[str]:
    """A bar for each stretch in which a hole stays closed."""
    run: list[Span] = []
    for span in [*spans, None]:
        if span is not None and span.state.closed(finger) and (not run or span.start_s <= run[-1].end_s + 1e-6):
            run.append(span)
            continue
        if run:
            x, end_x = _x(run[0].start_s, begin_s), _x(run[-1].end_s, begin_s)
            y, height = _lane_y(finger) + inset, LANE - 2.0 * inset
            size = f'width="{max(0.5, end_x - x):.1f}" height="{height:.1f}"'
            yield f'<rect class="{style}" x="{x:.1f}" y="{y:.1f}" {size}/>'
        run = [span] if span is not None and span.state.closed(finger) else []


def _letters(asked: Sequence[Span], begin_s: float) -> Iterator[str]:
    """The melody's letters under the lanes, where they were asked."""
    for span in asked:
        if span.letter and span.start_s >= begin_s:
            y = _HEIGHT - 4.0
            yield f'<text class="word" x="{_x(span.start_s, begin_s):.1f}" y="{y:.1f}">{span.letter}</text>'


def _marks(judgement: Judgement, rank: int, begin_s: float) -> Iterator[str]:
    times = [finding.at_s for finding in judgement.findings]
    free_from = LEFT
    for number in range(bisect_right(times, begin_s) + 1, len(times) + 1):
        at_s = times[number - 1]
        if at_s >= begin_s + LINE_S:
            return
        x = max(_x(at_s, begin_s), free_from)
        free_from = x + 18.0
        title = escape(judgement.findings[number - 1].text)
        yield (
            f'<a href="#t{rank}f{number}"><title>{title}</title>'
            f'<path class="fault" d="M{x - 5:.1f} 14h10l-5 9z"/>'
            f'<text class="number" x="{x - 4:.1f}" y="11">{number}</text></a>'
        )
