"""Draws whose turn it is, where the note in hand stands else: the largest word of all, a bar beside a learner's."""

from __future__ import annotations

from collections.abc import Iterator

from companion.schedule.practice.rounds import Turn
from companion.window.core.layout import Layout
from companion.window.core.marks import Label, Mark, Measure, Role, Rule, Style
from companion.window.core.wording import wrapped_within

_WORDS = {Turn.TOOL: ("listen", "then you play it back"), Turn.LEARNER: ("play", "your turn: play it back")}
_BAR_LINES, _BAR_HIGH = 0.25, 0.27
"""The bar's width in lines of text, and half of its height in heights of the large word's line."""


def turn_marks(turn: Turn, layout: Layout, measure: Measure) -> Iterator[Mark]:
    """Yield whose turn it is and, beside it, what is to be done; the words stand at the same places in both turns."""
    said, more = _WORDS[turn]
    x, y = layout.header.x, (layout.header.y + layout.ear.y) / 2
    bar, high = layout.line * _BAR_LINES, measure.height(Style.HUGE) * _BAR_HIGH
    if turn is Turn.LEARNER:
        yield Rule(x + bar / 2, y - high, x + bar / 2, y + high, Role.GUIDE, bar)
    x += bar + layout.line * 0.35
    yield Label(x, y, said, Style.HUGE)
    left = x + max(measure.width(each, Style.HUGE) for each, _ in _WORDS.values()) + layout.line
    for rank, words in enumerate(wrapped_within(more, Style.TEXT, layout.header.right - left, 2, measure)):
        yield Label(left, y + layout.line * (rank + 0.2), words, Style.TEXT, Role.QUIET)
