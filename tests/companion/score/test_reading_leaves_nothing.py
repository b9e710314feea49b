"""Reading many files one after another takes no more memory than reading one of them."""

from __future__ import annotations

import gc
from contextlib import suppress

import pytest

from companion.score.abc import read_abc
from fingering.errors import UserError
from tests.companion.score.test_wild import FOLDER, STEMS


@pytest.mark.parametrize("again", [1, 5])
def test_what_was_read_is_freed_without_the_collector(again: int) -> None:
    """Readers hold each other in no circle: the collector is paused while a file is read, and comes round too late."""
    gc.collect()
    gc.disable()
    try:
        for stem in STEMS * again:
            with suppress(UserError):
                read_abc(FOLDER / f"{stem}.abc")
        # Not 0: threads of tests before may leave some meanwhile. Each circle of a file is two or more.
        assert gc.collect() < again * len(STEMS)
    finally:
        gc.enable()
