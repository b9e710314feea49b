"""A folder in which any command can be tried."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.companion.commands.program import TUNE
from tests.companion.commands.test_judge import ABC, write_take


def furnish(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Go into a folder with a tune, and another with a take of it, where there is no screen to open a window on."""
    monkeypatch.chdir(folder)
    monkeypatch.setenv("SDL_VIDEODRIVER", "none such")
    monkeypatch.setenv("EIGHTHOLES_DATA", str(folder))
    (folder / "tune.abc").write_text(TUNE)
    (folder / "judged.abc").write_text(ABC)
    write_take(folder / "take.mid")
