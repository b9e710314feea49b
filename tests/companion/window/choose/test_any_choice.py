"""Whatever is typed, clicked, chosen and dropped, in any order, the list goes on."""

from __future__ import annotations

import random
from pathlib import Path

import pygame
import pytest

from companion.window.core.display import Display
from companion.window.shell import Shell, WindowSize
from tests.companion.window.choose.choosing import Choosing, book_text, tune_text
from tests.companion.window.test_any_keys import anything, empty

FRAMES = 150


@pytest.fixture
def files(tmp_path: Path) -> list[str]:
    """What may be dropped: tunes, books, folders, and what is none of these."""
    texts = {
        "one.abc": tune_text(1, "One"),
        "ö book.abc": book_text(("First", "Second", "Third")),
        "torn.abc": tune_text(1, "Torn", bars="{gA2 w3|b2 c2|]\n"),
        "low.abc": "X:1\nT:Low\nM:2/4\nL:1/8\nK:HP\nC2E2|G2A2|\n",
        "none.txt": "",
        "picture.abc": "\x89PNG\r\n",
    }
    for name, text in texts.items():
        (tmp_path / name).write_text(text, encoding="latin-1")
    (tmp_path / "folder").mkdir()
    return [str(tmp_path / name) for name in (*texts, "folder", "gone.abc", ".", "..")]


@pytest.mark.parametrize("start", range(3))
def test_nothing_that_is_dropped_or_typed_breaks_the_window(
    files: list[str], start: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Files come and go meanwhile; a frame never fails, and is never empty."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    draw = random.Random(start)
    shell = Shell(Choosing().playing, Display(), WindowSize())
    shell.frame()
    for _ in range(FRAMES):
        for _ in range(draw.randrange(4)):
            pygame.event.post(anything(draw))
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
