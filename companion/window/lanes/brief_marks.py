"""Draws what is told while a tune runs: a few words as large as the note in hand, to be read from a music stand."""

from __future__ import annotations

from collections.abc import Iterator

from companion.listen.verdict.brief import Brief
from companion.window.core.layout import Layout
from companion.window.core.marks import Label, Mark, Measure, Role, Style
from companion.window.core.wording import fitted

_MIDDLE_LINE = 2
"""Of the lines below the large one: the first says what comes next, the three others are one large one here."""


def brief_marks(brief: Brief | None, layout: Layout, measure: Measure) -> Iterator[Mark]:
    """Yield the few words in large type below the note in hand.

    Where they have no room, the place stands in small type before them; then how often gives way, and then the place,
    which the lanes show as well.
    """
    if brief is None:
        return
    x, y, room = layout.header.x, layout.page.below_title(_MIDDLE_LINE), layout.header.width
    place = measure.width(brief.place, Style.STRONG) + layout.line * 0.5
    ways = ((0.0, brief.text), (place, brief.how_often), (place, brief.what), (0.0, brief.what))
    before, words = next((way for way in ways if way[0] + measure.width(way[1], Style.LARGE) <= room), ways[-1])
    if before:
        yield Label(x, y, brief.place, Style.STRONG, Role.FAULT)
    yield Label(x + before, y, fitted(words, Style.LARGE, room - before, measure), Style.LARGE, Role.FAULT)
