"""Loads the fonts, sizes them for the window, and caches rendered words."""

from __future__ import annotations

from functools import cache
from io import BytesIO
from pathlib import Path
from types import MappingProxyType

import pygame

from companion.files.fonts import FontFamily
from companion.window.core.marks import Style
from companion.window.core.theme import Colour

_SERIF = (FontFamily.SERIF, "SourceSerifPro-Semibold.otf")
_SANS = (FontFamily.SANS, "SourceSansPro-Regular.ttf")
_BOLD = (FontFamily.SANS, "SourceSansPro-Semibold.ttf")
_FILES = {
    Style.HUGE: _SERIF,
    Style.LARGE: _SERIF,
    Style.MEDIUM: _SERIF,
    Style.SECOND: _BOLD,
    Style.TEXT: _SANS,
    Style.STRONG: _BOLD,
}
TIMES_TEXT = MappingProxyType(
    {Style.HUGE: 4.2, Style.LARGE: 3.4, Style.MEDIUM: 2.5, Style.SECOND: 1.6, Style.TEXT: 1.0, Style.STRONG: 1.0}
)
"""The size of each type, in sizes of the text."""

_KEPT = 600


def text_size(width: int, height: int, big_print: bool) -> int:
    """Pixel size of the text type in a window of that size: never under 15, in big print nearly half as much again.

    In a window that is narrower than it is tall big print is no larger than a heading has room for.
    """
    plain = max(15.0, min(height * 0.0245, width * 0.0140))
    large = max(plain, min(plain * 1.45, height * 0.034, width * 0.0256))
    return round(large if big_print else plain)


def font_path(style: Style) -> Path | None:
    """The file of the font that a style is set in; None where it is not installed."""
    family, name = _FILES[style]
    return family.file(name)


def ending_fonts() -> tuple[Path, ...]:
    """The font in which the numbers of endings stand on a staff; none where it is not installed."""
    return tuple(path for path in (font_path(Style.TEXT),) if path)


@cache
def _font_file(path: Path) -> bytes:
    """The whole file: pygame would keep it open for as long as any layout is remembered for one of its sizes."""
    return path.read_bytes()


class Lettering:
    """All sizes of type at one text size. `missing`: one line about a font that was not found, None if all were.

    Two of one size measure alike, so they are equal: what was laid out for one is laid out for the other.
    """

    def __init__(self, size: int) -> None:
        pygame.font.init()
        self.size = size
        self.missing: str | None = None
        self._fonts = {style: self._load(style) for style in Style}
        self._heights = {style: float(font.get_height()) for style, font in self._fonts.items()}
        self._widths: dict[tuple[str, Style], float] = {}
        self._rendered: dict[tuple[str, Style, Colour], pygame.Surface] = {}

    def _load(self, style: Style) -> pygame.font.Font:
        pixels = round(self.size * TIMES_TEXT[style])
        path = font_path(style)
        if path is None:
            family, name = _FILES[style]
            self.missing = f"the font {name} is missing; reinstall {family.package}"
            return pygame.font.Font(None, round(pixels * 1.2))
        return pygame.font.Font(BytesIO(_font_file(path)), pixels)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Lettering) and (other.size, other.missing) == (self.size, self.missing)

    def __hash__(self) -> int:
        return hash((self.size, self.missing))

    def width(self, text: str, style: Style) -> float:
        """Width of `text` in pixels."""
        key = (text, style)
        if key not in self._widths:
            if len(self._widths) > _KEPT:
                self._widths.clear()
            self._widths[key] = float(self._fonts[style].size(text)[0])
        return self._widths[key]

    def height(self, style: Style) -> float:
        """Height of a line in pixels."""
        return self._heights[style]

    def render(self, text: str, style: Style, colour: Colour) -> pygame.Surface:
        """The words as a surface with a transparent ground."""
        key = (text, style, colour)
        if key not in self._rendered:
            if len(self._rendered) > _KEPT:
                self._rendered.clear()
            self._rendered[key] = self._fonts[style].render(text, True, colour)
        return self._rendered[key]
