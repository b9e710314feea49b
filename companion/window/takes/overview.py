"""A whole take as a thin line, with a stroke for each finding."""

from __future__ import annotations

from collections.abc import Iterator

from companion.window.core.layout import Layout
from companion.window.core.marks import Dot, Mark, Role, Rule
from companion.window.lanes.finding_marks import CHOSEN_STROKE
from companion.window.takes.take_state import SoundedSide, TakeState

OVERVIEW_LINES = 1.0
"""The room that the whole take as a line needs above the keys."""


def overview_marks(state: TakeState, now_s: float, layout: Layout) -> Iterator[Mark]:
    """The whole take as a line: a stroke for each finding, the one looked at taller, a dot where the take stands."""
    if state.review is None or not state.review.findings:
        return
    y = layout.footer.y - layout.line * OVERVIEW_LINES * 0.6
    length_s = max(state.take.end_s - state.begin_s, 1e-6)

    def x_of(at_s: float) -> float:
        share = min(max((at_s - state.begin_s) / length_s, 0.0), 1.0)
        return layout.margin + share * (layout.width - 2 * layout.margin)

    yield Rule(layout.margin, y, layout.width - layout.margin, y, Role.HAIR, 2.0)
    for rank, finding in enumerate(state.review.findings):
        tall = layout.line * (0.44 if rank == state.chosen else 0.26)
        x = x_of(finding.at_s)
        yield Rule(x, y - tall, x, y + tall, Role.FAULT, layout.line * CHOSEN_STROKE)
    if state.sounding is SoundedSide.TAKE:
        yield Dot(x_of(now_s), y, layout.line * 0.16, Role.INK)
