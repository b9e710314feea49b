"""Lettering that the window's tests share: each size of type is loaded once, and measures each of its words once."""

from __future__ import annotations

from functools import cache

from companion.window.core.display import Display, Print
from companion.window.paint.lettering import Lettering, text_size


def lettering_for(size: tuple[int, int], display: Display) -> Lettering:
    """The lettering of a window of that size, (width, height) in pixels, as `paint/still.py` makes it anew."""
    return _of_size(text_size(*size, display.print is Print.BIG))


@cache
def _of_size(text_px: int) -> Lettering:
    return Lettering(text_px)
