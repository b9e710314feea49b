"""The measures that all screens share."""

from __future__ import annotations

import pytest

from companion.window.core.display import Display, Print
from companion.window.core.hints import Hint, footer_of, said
from companion.window.core.look_keys import PAGE_KEYS
from companion.window.core.page import Page
from tests.companion.window.lettered import lettering_for

SIZES = ((320, 320), (640, 480), (800, 600), (1280, 720), (1920, 1080), (7680, 4320))
LEAST_TARGET_PX = 24
"""Source: WCAG 2.2, success criterion 2.5.8, Target Size (Minimum)."""

sizes = pytest.mark.parametrize("size", SIZES, ids=str)
prints = pytest.mark.parametrize("print_size", Print)


def page_of(size: tuple[int, int], print_size: Print) -> Page:
    """The page of a window of that size."""
    return Page.of(*size, lettering_for(size, Display(print=print_size)))


@sizes
@prints
def test_margins_and_words_fill_the_width(size: tuple[int, int], print_size: Print) -> None:
    """A margin at the left, one at the right, and most of the width for what is between."""
    page = page_of(size, print_size)
    assert page.inner + 2 * page.margin == pytest.approx(size[0])
    assert page.inner > 0.9 * size[0]


@sizes
@prints
def test_words_below_the_title_follow_each_other(size: tuple[int, int], print_size: Print) -> None:
    """Each a line below the last, the first of them below the large line's own middle by more than half a line."""
    page = page_of(size, print_size)
    assert page.below_title() - page.title_y > page.line / 2
    assert page.below_title(1) - page.below_title() == pytest.approx(page.line)
    assert page.below_title(3) - page.below_title() == pytest.approx(3 * page.line)


@sizes
@prints
def test_words_beside_the_title_follow_each_other(size: tuple[int, int], print_size: Print) -> None:
    """Each a line below the last, the first of them within the page."""
    page = page_of(size, print_size)
    assert page.beside_title() > page.line / 2
    assert page.beside_title(2) - page.beside_title() == pytest.approx(2 * page.line)


@sizes
@prints
@pytest.mark.parametrize("rows", [1, 4])
def test_the_keys_stand_at_the_foot(size: tuple[int, int], print_size: Print, rows: int) -> None:
    """Between the margins, within the window, each row high enough to be hit."""
    page = page_of(size, print_size)
    footer = page.footer(rows)
    assert (footer.x, footer.width) == (page.margin, page.inner)
    assert size[1] - page.margin < footer.bottom < size[1]
    assert footer.height >= rows * LEAST_TARGET_PX


def test_keys_that_do_not_fit_in_a_row_take_more() -> None:
    """The foot is as high as the keys need in that width."""
    display = Display()
    hints: tuple[Hint, ...] = said(PAGE_KEYS, None, display) * 3
    narrow, wide = ((width, 600) for width in (400, 4000))
    heights = [
        footer_of(hints, Page.of(*size, lettering_for((800, 600), display)), lettering_for((800, 600), display)).height
        for size in (narrow, wide)
    ]
    assert heights[0] > heights[1]


def test_a_footer_is_moved_to_whole_pixels_by_less_than_one() -> None:
    """Down or up, whichever is nearer."""
    footer = page_of((801, 600), Print.NORMAL).footer(2)
    assert footer.on_pixels.y == round(footer.y) != footer.y
    assert footer.on_pixels.height == footer.height
