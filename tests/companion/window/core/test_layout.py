"""The chanter keeps half of the window, whatever words stand above and below it."""

from __future__ import annotations

from itertools import pairwise

import pytest

from companion.window.core.display import Display, Print
from companion.window.core.layout import NO_LINES, Layout, Lines, lay_out
from companion.window.core.marks import Style
from companion.window.core.page import Page
from companion.window.lanes.brief_marks import EAR_LINES
from companion.window.lanes.header import HEADER_LINES
from companion.window.paint.lettering import Lettering
from tests.companion.window.lettered import lettering_for

pytestmark = pytest.mark.same_everywhere

SIZES = ((640, 480), (800, 600), (1024, 768), (1280, 720), (1366, 768), (1920, 1080), (2560, 1440), (3840, 2160))
WORDS = (
    *((Lines(lines, 1.0), NO_LINES) for lines in (1.0, 2.0, 5.0, 30.0)),
    (HEADER_LINES, NO_LINES),
    (HEADER_LINES, EAR_LINES),
    (HEADER_LINES, Lines(30.0, 1.9)),
)
"""Lines of the header, and of the ear's words."""

sizes = pytest.mark.parametrize("size", SIZES, ids=str)
prints = pytest.mark.parametrize("print_size", Print)
rows = pytest.mark.parametrize("footer_rows", [1, 2])
words = pytest.mark.parametrize(("header", "ear"), WORDS)


def laid_out(
    size: tuple[int, int], print_size: Print, footer_rows: int, header: Lines, ear: Lines
) -> tuple[Layout, Lettering]:
    """The layout of a window of that size, and the lettering that it is for."""
    lettering = lettering_for(size, Display(print=print_size))
    layout = lay_out(Page.of(*size, lettering), footer_rows, print_size, header, ear_lines=ear)
    return layout, lettering


@sizes
@prints
@rows
@words
def test_the_chanter_takes_half_of_the_height(
    size: tuple[int, int], print_size: Print, footer_rows: int, header: Lines, ear: Lines
) -> None:
    """As it is drawn, from its top to its foot."""
    layout, _ = laid_out(size, print_size, footer_rows, header, ear)
    assert layout.foot_y - layout.chanter_top >= size[1] / 2 - 1e-6


@sizes
@prints
@rows
@words
def test_nothing_stands_on_anything_else(
    size: tuple[int, int], print_size: Print, footer_rows: int, header: Lines, ear: Lines
) -> None:
    """Header, ear, chanter, the rows of words under the lanes, beats and keys follow each other downwards.

    Those words may share a row, in which one gives way to the other.
    """
    layout, lettering = laid_out(size, print_size, footer_rows, header, ear)
    letters = {style: lettering.height(style) * 0.31 for style in Style}  # half of what letters take of their line
    beat = layout.line * 0.2
    downwards = [
        layout.header.y,
        layout.ear.y,
        layout.header.bottom,
        layout.chanter_top,
        layout.foot_y,
        *(layout.names_y + side * letters[layout.words.names] for side in (-1, 1) if layout.names_y != layout.notes_y),
        layout.notes_y - letters[layout.words.notes],
        layout.notes_y + letters[layout.words.notes],
        layout.beats_y - beat,
        layout.beats_y + beat,
        layout.footer.y,
        layout.footer.bottom,
        float(size[1]),
    ]
    assert all(one <= other + 1e-6 for one, other in pairwise(downwards)), downwards


@sizes
@prints
@rows
@words
def test_what_is_least_is_granted_and_no_more_than_is_wanted(
    size: tuple[int, int], print_size: Print, footer_rows: int, header: Lines, ear: Lines
) -> None:
    """Of the header's lines and of the ear's."""
    layout, _ = laid_out(size, print_size, footer_rows, header, ear)
    of_header = (layout.ear.y - layout.page.top - layout.page.title_height) / layout.line
    of_ear = layout.ear.height / layout.line
    assert header.least - 1e-6 <= of_header <= header.wanted + 1e-6
    assert ear.least - 1e-6 <= of_ear <= ear.wanted + 1e-6
    assert layout.header_lines <= header.wanted


@sizes
@rows
def test_big_print_makes_the_words_of_the_lanes_and_the_arrows_larger(size: tuple[int, int], footer_rows: int) -> None:
    """Than the text itself grows, and than the chanter shrinks; the words where nothing else needs the room."""
    (small, plain), (large, big) = (laid_out(size, each, footer_rows, HEADER_LINES, NO_LINES) for each in Print)
    assert large.arrow > small.arrow
    if footer_rows > 1:  # in a small window two rows of keys need the room
        return
    assert (large.words.notes, small.words.notes) == (Style.SECOND, Style.TEXT)
    assert big.height(large.words.notes) > 1.5 * plain.height(small.words.notes)
