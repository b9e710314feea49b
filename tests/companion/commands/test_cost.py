"""What reading costs follows the size of a file, whatever stands in it."""

from __future__ import annotations

import os
import resource
from pathlib import Path

import pytest

from tests.companion.commands.hostile import HOSTILE, SIZE
from tests.companion.loaded import Loaded

pytestmark = pytest.mark.same_everywhere
MEGABYTE = 1_000_000
LIMIT = 200 * MEGABYTE
"""What a file of a megabyte may take."""


@pytest.mark.parametrize("name", HOSTILE)
def test_a_megabyte_of_anything_is_read_within_two_hundred(name: str, tmp_path: Path, loaded: Loaded) -> None:
    """It is told what is wrong with it, in lines and with an exit status, and no word of Python."""
    path = tmp_path / "a.abc"
    path.write_text(HOSTILE[name], encoding="utf-8")
    assert path.stat().st_size <= 1.5 * SIZE
    limits = {resource.RLIMIT_DATA: LIMIT}
    done = loaded.run("read", str(path), folder=tmp_path, env=os.environ, limits=limits)
    assert done.status in (0, 2), done.told[-500:]
    assert "Traceback" not in done.told
    assert "MemoryError" not in done.told
