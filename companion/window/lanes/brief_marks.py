"""Draws what is told while a tune runs: a few words in large type, to be read from a music stand."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from companion.window.core.layout import Layout, Lines
from companion.window.core.marks import Label, Mark, Measure, Role, Style
from companion.window.core.wording import fitted

if TYPE_CHECKING:  # the first frame marks nothing of the ear, and does not wait for it
    from companion.listen.verdict.brief import Brief

EAR_LINES = Lines(3.0, 1.9)
"""For a few words in large type, or a line less tall, or as many sentences once the tune is over."""

_LARGE_LINES = 2.6  # of room for large type; the next smaller one needs the least
_OPTICAL = 0.069  # the middle of the letters is so far below that of their line's height


def brief_marks(brief: Brief | None, layout: Layout, measure: Measure) -> Iterator[Mark]:
    """Yield the few words in large type below the words for what sounds.

    Where they have no room, the place stands in small type before them; then how often gives way, and then the place,
    which the lanes show as well.
    """
    if brief is None:
        return
    style = Style.LARGE if layout.ear.height >= layout.line * _LARGE_LINES else Style.MEDIUM
    x, room = layout.ear.x, layout.ear.width
    y = layout.ear.y + layout.ear.height / 2 - measure.height(style) * _OPTICAL
    place = measure.width(brief.place, Style.STRONG) + layout.line * 0.5
    ways = ((0.0, brief.text), (place, brief.how_often), (place, brief.what), (0.0, brief.what))
    before, words = next((way for way in ways if way[0] + measure.width(way[1], style) <= room), ways[-1])
    if before:
        yield Label(x, y, brief.place, Style.STRONG, Role.FAULT)
    yield Label(x + before, y, fitted(words, style, room - before, measure), style, Role.FAULT)
