"""Fits words to a width: wrapped into lines, or shortened with an ellipsis."""

from __future__ import annotations

from bisect import bisect_right

from companion.window.core.marks import Measure, Style


def wrapped(text: str, style: Style, width: float, measure: Measure) -> list[str]:
    """`text` in lines of at most `width` pixels; a word that is longer has a line of its own.

    No word stands alone in the last line, where the one before it has room there too.
    """
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and measure.width(longer, style) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    before, _, last = lines[-2].rpartition(" ") if len(lines) > 1 and " " not in lines[-1] else ("", "", "")
    if before and measure.width(f"{last} {lines[-1]}", style) <= width:
        lines[-2:] = [before, f"{last} {lines[-1]}"]
    return lines


def wrapped_whole(text: str, style: Style, width: float, measure: Measure) -> list[str]:
    """`text` in lines of at most `width` pixels, as `wrapped`, but a word that is longer goes on in the next line: for
    the names of files, of which every letter counts."""
    return [part for line in wrapped(text, style, width, measure) for part in _pieces(line, style, width, measure)]


def _pieces(word: str, style: Style, width: float, measure: Measure) -> list[str]:
    pieces = []
    while measure.width(word, style) > width and len(word) > 1:
        length = max(1, bisect_right(range(1, len(word)), width, key=lambda n: measure.width(word[:n], style)))
        pieces.append(word[:length])
        word = word[length:]
    return [*pieces, word]


def path_within(path: str, style: Style, room: float, measure: Measure) -> str:
    """A path with as many of its folders as fit in `room` pixels: "~/…/takes/one.mid". Its last part is always whole,
    even where it has no room."""
    folders = path.split("/")
    name, above = folders.pop(), folders[:1]
    ways = [path, *("/".join((*above, "…", *folders[first:], name)) for first in range(2, len(folders) + 1))]
    return next((way for way in ways if measure.width(way, style) <= room), name)


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
