"""A line at the foot of the window about what failed behind it; the screen above it gives way."""

from __future__ import annotations

from dataclasses import replace

from companion.window.core.marks import Label, Picture, Role, Rule, Style
from companion.window.core.screen import Canvas
from companion.window.core.wording import wrapped_within

MOST_ROWS = 2
"""In a narrow window, or in big print, what to do would have no room in one row."""


def above_trouble(trouble: str, whole: Canvas) -> Canvas:
    """What is left of a window for its screen: all of it where there is no trouble."""
    return replace(whole, height=whole.height - _height(trouble, whole)) if trouble else whole


def with_trouble(picture: Picture, trouble: str, whole: Canvas) -> Picture:
    """A screen's picture, made for what `above_trouble` left it, and the line below it."""
    if not trouble:
        return picture
    line, margin = whole.measure.height(Style.TEXT), _margin(whole)
    top = float(picture.height)
    rule = Rule(margin, top + line * 0.1, whole.width - margin, top + line * 0.1, Role.FAULT, 1.6)
    labels = (
        Label(margin, top + line * (rank + 0.75), words, Style.TEXT, Role.FAULT)
        for rank, words in enumerate(_rows(trouble, whole))
    )
    return replace(picture, height=whole.height, moving=(*picture.moving, rule, *labels))


def _height(trouble: str, whole: Canvas) -> int:
    return round(whole.measure.height(Style.TEXT) * (len(_rows(trouble, whole)) + 0.4))


def _rows(trouble: str, whole: Canvas) -> list[str]:
    return wrapped_within(trouble, Style.TEXT, whole.width - 2 * _margin(whole), MOST_ROWS, whole.measure)


def _margin(whole: Canvas) -> float:
    return max(14.0, whole.width * 0.026)
