"""Whatever is typed, clicked, chosen and dropped, in any order, the list goes on."""

from __future__ import annotations

import random
from pathlib import Path

import pygame
import pytest

from companion.window.core.display import Display
from companion.window.shell import Shell, WindowSize
from tests.companion.window.any_events import empty
from tests.companion.window.any_user import AnyUser, files_to_drop
from tests.companion.window.choose.choosing import Choosing, tune_text

pytestmark = pytest.mark.same_everywhere

FRAMES = 150


@pytest.mark.parametrize("start", range(3))
def test_nothing_that_is_dropped_or_typed_breaks_the_window(
    tmp_path: Path, start: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Files come and go meanwhile; a frame never fails, and is never empty."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    draw, files = random.Random(start), files_to_drop(tmp_path / "files")
    user = AnyUser(draw, files)
    shell = Shell(Choosing().playing, Display(), WindowSize())
    shell.frame()
    for _ in range(FRAMES):
        for _ in range(draw.randrange(4)):
            for event in user.next():
                pygame.event.post(event)
        if draw.random() < 0.3:
            pygame.event.post(pygame.event.Event(pygame.DROPFILE, file=draw.choice(files)))
        if draw.random() < 0.05:
            Path(files[0]).write_text(tune_text(1, f"One {draw.random()}"))
        elif draw.random() < 0.05:
            Path(files[1]).unlink(missing_ok=True)
        if not shell.frame():
            pygame.event.clear()
        assert shell.picture is not None
        assert not empty(shell.picture)
    shell.close()
