"""What reading costs follows the size of a file, whatever stands in it."""

from __future__ import annotations

import resource
import subprocess
import sys
from pathlib import Path

import pytest

from tests.companion.commands.hostile import HOSTILE, SIZE

pytestmark = pytest.mark.same_everywhere
MEGABYTE = 1_000_000
LIMIT = 200 * MEGABYTE
"""What a file of a megabyte may take."""


def limited() -> None:
    """In the child: no more memory than LIMIT can be had."""
    resource.setrlimit(resource.RLIMIT_DATA, (LIMIT, LIMIT))


@pytest.mark.parametrize("name", HOSTILE)
def test_a_megabyte_of_anything_is_read_within_two_hundred(name: str, tmp_path: Path) -> None:
    """It is told what is wrong with it, in lines and with an exit status, and no word of Python."""
    path = tmp_path / "a.abc"
    path.write_text(HOSTILE[name], encoding="utf-8")
    assert path.stat().st_size <= 1.5 * SIZE
    done = subprocess.run(
        [sys.executable, "-m", "companion", "read", str(path)],
        preexec_fn=limited,
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode in (0, 2), done.stderr[-500:]
    assert "Traceback" not in done.stderr
    assert "MemoryError" not in done.stderr
