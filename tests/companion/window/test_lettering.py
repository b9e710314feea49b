"""Type in every size: however many sizes are remembered, no file stays open, and layouts of one size are shared."""

from __future__ import annotations

import os

from companion.window.core.display import Display, Print
from companion.window.core.marks import Style
from companion.window.paint.lettering import Lettering
from tests.companion.window.lettered import lettering_for


def next_free_file() -> int:
    """The number that the next file would get: the lowest one free (POSIX, open)."""
    number = os.open(os.devnull, os.O_RDONLY)
    os.close(number)
    return number


def test_no_font_file_stays_open() -> None:
    """A window that is drawn larger and smaller for long would come to the system's limit: 1,024, on a Mac 256."""
    before = next_free_file()
    kept = [Lettering(size) for size in range(15, 75)]
    assert all(each.width("low A", Style.HUGE) > 0.0 for each in kept)
    assert next_free_file() < before + len(kept)


def test_two_of_one_size_are_equal() -> None:
    """So what was laid out is found again; another size or print is another."""
    one, same = (lettering_for((1280, 720), Display()) for _ in range(2))
    assert one == same
    assert hash(one) == hash(same)
    assert one != lettering_for((1920, 1080), Display())
    assert one != lettering_for((1280, 720), Display(print=Print.BIG))
    assert one.width("taorluath", Style.LARGE) == same.width("taorluath", Style.LARGE)
