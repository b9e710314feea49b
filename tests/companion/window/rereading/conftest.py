"""A window on a file that a test writes."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.companion.window.rereading.editing import EditedWindow, Open


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[Open]:
    """Opens windows on a file of these words, drawn to memory; `number` says which of its tunes."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    monkeypatch.setenv("EIGHTHOLES_DATA", str(tmp_path / "data"))
    windows: list[EditedWindow] = []

    def open_on(words: str, **how: object) -> EditedWindow:
        path = tmp_path / "nets.abc"
        path.write_text(words, encoding="utf-8")
        windows.append(EditedWindow(path, **how))  # type: ignore[arg-type]
        return windows[-1]

    yield open_on
    for window in windows:
        window.close()
