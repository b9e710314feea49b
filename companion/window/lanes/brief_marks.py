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

_LARGE_LINES = 2.6  # of room for large type; the next smaller ones need the least
_OPTICAL = 0.069  # the middle of the letters is so far below that of their line's height


def brief_marks(brief: Brief | None, layout: Layout, measure: Measure) -> Iterator[Mark]:
    """Yield the few words in large type below the words for what sounds, smaller than the note that sounds now.

    Before them stands in which bar that was heard, since the tune has gone on. Where all of it has no room, the type
    is smaller, then the bar, which the lanes show as well, gives way, and how often only at the last.
    """
    if brief is None:
        return
    x, room = layout.ear.x, layout.ear.width
    large = (Style.LARGE,) if layout.ear.height >= layout.line * _LARGE_LINES else ()
    styles = (*large, Style.MEDIUM, Style.SECOND)
    heard = f"heard in {_bar(brief)}:" if brief.place else ""
    place = measure.width(heard, Style.STRONG) + layout.line * 0.5 if heard else 0.0
    ways = [
        *((before, brief.how_often, style) for before in dict.fromkeys((place, 0.0)) for style in styles),
        (0.0, brief.what, styles[-1]),
    ]
    before, words, style = next((way for way in ways if way[0] + measure.width(way[1], way[2]) <= room), ways[-1])
    y = layout.ear.y + layout.ear.height / 2
    if before:
        yield Label(x, y + measure.height(style) * _OPTICAL, heard, Style.STRONG, Role.FAULT)
    text = fitted(words, style, room - before, measure)
    yield Label(x + before, y - measure.height(style) * _OPTICAL, text, style, Role.FAULT)


def _bar(brief: Brief) -> str:
    """The place within a sentence."""
    return "the pick-up" if brief.place == "pick-up" else brief.place
