"""Draws the two ends of the stretch that is repeated: brackets with a repeat sign's two dots, facing each other."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from companion.schedule.spans import Span
from companion.window.core.layout import Layout
from companion.window.core.marks import Dot, Mark, Role, Rule
from fingering.holes import Finger

_FOOT_LINES = 0.5
_DOT_LINES = 0.19
_DOT_AWAY_LINES = 0.55
_FADED_WIDTH = 1.5


def repeat_marks(span: Span, x_at: Callable[[float], float], layout: Layout) -> Iterator[Mark]:
    """Yield a bracket where each end of the stretch is in sight, as strokes through all lanes with a repeat sign's dots
    between the two hands.
    """
    for at_s, inward in ((span.start_s, 1), (span.end_s, -1)):
        x = x_at(at_s)
        if 0 <= x <= layout.width:
            yield from _bracket(x, inward, layout, 3.0)
            yield from _dots(x + inward * layout.line * _DOT_AWAY_LINES, layout)


def edge_marks(span: Span, x_at: Callable[[float], float], layout: Layout) -> Iterator[Mark]:
    """Yield a thin bracket without dots at the edge of the window beyond which an end of the stretch lies, so that both
    ends are told of wherever it stands.
    """
    away = layout.line * 0.35
    if x_at(span.start_s) < 0:
        yield from _bracket(away, 1, layout, _FADED_WIDTH)
    if x_at(span.end_s) > layout.width:
        yield from _bracket(layout.width - away, -1, layout, _FADED_WIDTH)


def _bracket(x: float, inward: int, layout: Layout, width: float) -> Iterator[Rule]:
    top, bottom = layout.strokes_top, layout.strokes_bottom
    yield Rule(x, top, x, bottom, Role.GUIDE, width)
    left, right = sorted((x, x + inward * layout.line * _FOOT_LINES))
    for y in (top, bottom):
        yield Rule(left, y, right, y, Role.GUIDE, width)


def _dots(x: float, layout: Layout) -> Iterator[Dot]:
    """Yield the dots in the gap between the hands, where no lane runs."""
    above, below = layout.lane_y(Finger.UPPER_RING), layout.lane_y(Finger.LOWER_INDEX)
    for share in (0.34, 0.66):
        yield Dot(x, above + share * (below - above), layout.line * _DOT_LINES, Role.GUIDE)
