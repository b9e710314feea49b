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
    """Yield the few words in large type below the note in hand. Where both have no room beside each other, the place
    stands in small type before what was heard."""
    if brief is None:
        return
    x, y = layout.header.x, layout.page.below_title(_MIDDLE_LINE)
    room = layout.header.width
    words = brief.text
    if measure.width(words, Style.LARGE) > room:
        yield Label(x, y, brief.place, Style.STRONG, Role.FAULT)
        taken = measure.width(brief.place, Style.STRONG) + layout.line * 0.5
        x, room, words = x + taken, room - taken, brief.what
    yield Label(x, y, fitted(words, Style.LARGE, room, measure), Style.LARGE, Role.FAULT)
