"""Verovio in a process of its own: it ends by itself, whatever becomes of whoever began it."""

from __future__ import annotations

import subprocess
import sys

import pytest

from companion.score.engrave.apart import LONGEST_S, MOST_MEMORY

resource = pytest.importorskip("resource", reason="Windows has no such limits")


def test_the_process_limits_itself() -> None:
    """It may use no more memory and no more of a processor's time than a score may take, also if its parent is gone."""
    ask = "resource.getrlimit(resource.RLIMIT_CPU)[0], resource.getrlimit(resource.RLIMIT_AS)[0]"
    code = f"import resource; from companion.score.engrave.apart import limit_itself; limit_itself(); print({ask})"
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert said.strip() == f"{int(LONGEST_S)} {MOST_MEMORY}"
