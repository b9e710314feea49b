"""Whatever is pressed, clicked, turned, touched, dropped and resized, in any order, the window goes on."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.companion.window.any_events import STARTS, AnyWindow

pytestmark = pytest.mark.same_everywhere

EVENTS = 12_000 // len(STARTS)
"""From each start; many more are sent by ``python -m tests.companion.window.any_events``."""


@pytest.fixture
def opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], AnyWindow]:
    """Opens a window that draws to memory, with all its navigation, on one of the starts."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    return lambda start: AnyWindow(tmp_path, list(STARTS).index(start), (STARTS[start],))


@pytest.mark.parametrize("start", STARTS)
def test_nothing_that_is_sent_breaks_the_window(opened: Callable[[str], AnyWindow], start: str) -> None:
    """A frame goes on unless the user left; it never fails, and it is never empty."""
    window = opened(start)
    first = type(window.shell.top).__name__
    window.send(EVENTS)
    assert window.seen[first] > 0
    window.close()
