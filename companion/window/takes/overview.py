"""A whole take as a thin line, with a stroke for each finding."""

from __future__ import annotations

from collections.abc import Iterator, Set

from companion.window.core.layout import Layout
from companion.window.core.marks import Dot, Mark, Role, Rule
from companion.window.lanes.finding_marks import CHOSEN_STROKE
from companion.window.takes.take_state import SoundedSide, TakeState

OVERVIEW_LINES = 1.0
"""The room that the whole take as a line needs above the keys."""


def overview_marks(state: TakeState, now_s: float, layout: Layout) -> Iterator[Mark]:
    """The whole take as a line: a stroke for each finding that is lit, the one looked at taller, a thin quiet one for
    each that is not, a dot where the take stands."""
    if state.review is None or not state.review.findings:
        return
    y = layout.footer.y - layout.line * OVERVIEW_LINES * 0.6
    length_s = max(state.take.end_s - state.begin_s, 1e-6)

    def x_of(at_s: float) -> float:
        share = min(max((at_s - state.begin_s) / length_s, 0.0), 1.0)
        return layout.margin + share * (layout.width - 2 * layout.margin)

    yield Rule(layout.margin, y, layout.width - layout.margin, y, Role.HAIR, 2.0)
    lit = set(state.lit)
    for rank, finding in sorted(enumerate(state.review.findings), key=lambda each: each[0] in lit):
        tall, role, width = _strokes(rank, lit, state.chosen)
        x, half = x_of(finding.at_s), layout.line * tall
        yield Rule(x, y - half, x, y + half, role, layout.line * width)
    if state.sounding is SoundedSide.TAKE:
        yield Dot(x_of(now_s), y, layout.line * 0.16, Role.INK)


def _strokes(rank: int, lit: Set[int], chosen: int | None) -> tuple[float, Role, float]:
    """Half the height of a finding's stroke, its colour, and how wide it is; in lines."""
    if rank not in lit:
        return 0.14, Role.PAST, CHOSEN_STROKE / 2
    return (0.44 if rank == chosen else 0.3), Role.FAULT, CHOSEN_STROKE
