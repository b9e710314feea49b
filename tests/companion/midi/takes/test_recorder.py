"""The thread that writes a take while it is played; what it writes: test_takes.py."""

from __future__ import annotations

import os
import threading
import time
from pathlib import Path
from typing import Any

import pytest

from companion.midi.takes.reading import read_take
from tests.companion.midi.takes.test_takes import SCALE, record


def test_the_writer_does_not_wait_for_the_end(tmp_path: Path) -> None:
    """What was played is on disk while the take goes on."""
    recorder = record(tmp_path)
    for _ in range(100):
        if recorder.path and len(read_take(recorder.path).messages) == len(SCALE):
            break
        time.sleep(0.05)
    assert recorder.path is not None
    assert len(read_take(recorder.path).messages) == len(SCALE)
    recorder.finish(101.0)


def test_nobody_waits_for_a_disk_that_hangs_as_a_take_begins(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The file is made by the thread that writes; once the disk goes on, it holds all that was played meanwhile."""
    goes_on, really = threading.Event(), os.open

    def hangs(path: Any, *how: Any) -> int:
        assert goes_on.wait(20.0)
        return really(path, *how)

    with monkeypatch.context() as hanging:
        hanging.setattr(os, "open", hangs)
        recorder = record(tmp_path)
        assert recorder.path is None
        assert recorder.trouble is None
        goes_on.set()
        take = recorder.finish(102.0)
    assert take is not None
    assert take.path is not None
    assert len(read_take(take.path).messages) == len(SCALE)
