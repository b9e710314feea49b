"""A real window under Xvfb beside an editor: what is saved is seen in it."""

from __future__ import annotations

from pathlib import Path

import pygame
import pytest

from companion.window.core.marks import Role
from companion.window.core.theme import PAPER
from tests.companion.window.desk import HEIGHT, PATIENCE_S, WIDTH, Desk, Still
from tests.companion.window.rereading.editing import BARS, Editor, changed, text

pytestmark = pytest.mark.same_everywhere

HOW = ("--size", f"{WIDTH}x{HEIGHT}", "--slow", "4")
LANES = pygame.Rect(0, 216, WIDTH, HEIGHT - 216)
"""Below the words above the lanes, where for a while stands what changed."""

FOOT_PX = 70
"""What a line at the foot takes of the window, and some more."""


def test_what_an_editor_saves_is_seen_in_the_window(desk: Desk, still: Still, tmp_path: Path) -> None:
    """Written over or replaced, the same bar is shown as it is now; a mistake is told until it is mended."""
    editor = Editor(tmp_path / "nets.abc")
    editor.write(text())
    path = str(editor.path)

    def mistake_is_told() -> bool:
        foot = desk.seen()[HEIGHT - FOOT_PX :]
        return bool((foot == PAPER[Role.FAULT]).all(axis=2).any())

    window = desk.start("show", path, "--at", "3.2", *HOW, "--paused")
    try:
        desk.wait_for(still(path, "--at", "3.2", *HOW))
        editor.replace(text("f2 c2", *BARS[:2], "{gef}e2 f2", *BARS[3:]))
        desk.wait_for(still(path, "--at", "4.2", *HOW), LANES)
        assert not mistake_is_told()
        editor.write(changed(3, "{gefe2 c2"))
        desk.wait_until(mistake_is_told, "the mistake was never told")
        with editor.path.open("r+b") as file:  # cut off, and for a moment like that
            file.truncate(20)
        editor.path.unlink()
        editor.write(text("f2 c2", "e4", *BARS))
        desk.wait_for(still(path, "--at", "5.2", *HOW), LANES)
        assert not mistake_is_told()
        desk.press("Escape")
        assert window.wait(PATIENCE_S) == 0
    finally:
        window.kill()
        window.communicate()
