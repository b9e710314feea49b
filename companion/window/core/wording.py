"""Fits words to a width: wrapped into lines, or shortened with an ellipsis."""

from __future__ import annotations

from bisect import bisect_right

from companion.window.core.marks import Measure, Style


def wrapped(text: str, style: Style, width: float, measure: Measure) -> list[str]:
    """`text` in lines of at most `width` pixels; a word that is longer has a line of its own."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and measure.width(longer, style) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def wrapped_within(text: str, style: Style, width: float, most: int, measure: Measure) -> list[str]:
    """`text` in at most `most` lines of at most `width` pixels; what has no room is replaced by an ellipsis."""
    lines = wrapped(text, style, width, measure)
    if len(lines) <= most:
        return lines
    return [*lines[: most - 1], fitted(" ".join(lines[most - 1 :]), style, width, measure)]


def fitted(words: str, style: Style, room: float, measure: Measure) -> str:
    """`words`, shortened with an ellipsis to at most `room` pixels."""
    if measure.width(words, style) <= room:
        return words
    lengths = range(1, len(words))
    length = bisect_right(lengths, room, key=lambda n: measure.width(f"{words[:n]}…", style))
    return f"{words[:length].rstrip()}…"


def capital(text: str) -> str:
    """`text` with its first letter a capital."""
    return text[:1].upper() + text[1:]


def bar_words(number: int) -> str:
    """A bar by its number: "bar 3", and for the notes before the first whole one "pick-up to bar 1"."""
    return f"bar {number}" if number else "pick-up to bar 1"
