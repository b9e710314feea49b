"""A learner at a window that draws to memory."""

from __future__ import annotations

from collections.abc import Iterator

import pygame
import pytest

from tests.companion.window.embellishments.practising import Learner


@pytest.fixture
def learner(monkeypatch: pytest.MonkeyPatch) -> Iterator[Learner]:
    """The window on a tune that stands, with nothing played in yet."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    opened = Learner()
    yield opened
    opened.shell.close()
    pygame.display.quit()
