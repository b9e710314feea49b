"""Words broken into lines that fit."""

from __future__ import annotations

from companion.window.marks import Measure, Style


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


def capital(text: str) -> str:
    """The same with a capital letter at its head."""
    return text[:1].upper() + text[1:]
