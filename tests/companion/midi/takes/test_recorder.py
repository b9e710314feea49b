"""The thread that writes a take while it is played; what it writes: test_takes.py."""

from __future__ import annotations

import os
import threading
import time
from pathlib import Path
from typing import Any

import pytest

from companion.midi.stream.line import Timed
from companion.midi.stream.messages import Bend, Control, NoteOff, NoteOn, NotesOff, Pressure, VoiceMessage
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


@pytest.mark.parametrize(
    "tap",
    [
        [NoteOff(0, 69)],
        [Bend(0, 0.5), Pressure(0, 60), Control(0, 7, 90)],
        [NoteOn(0, 20), NoteOff(0, 20)],  # a key that is no note of the chanter
        [NotesOff(0)],
    ],
)
def test_a_tap_that_makes_no_note_leaves_no_file(tmp_path: Path, tap: list[VoiceMessage]) -> None:
    """Nobody asked for it to be kept, and it would be a row in the list."""
    messages = [Timed(0.1 * rank, message) for rank, message in enumerate(tap)]
    assert record(tmp_path, messages).finish(101.0) is None
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "played",
    [
        [NoteOn(0, 69)],  # one note, never let go
        [NoteOn(0, 20), NoteOff(0, 20), NoteOn(0, 22)],  # notes that this map does not know, but another may
    ],
)
def test_a_take_with_a_note_is_always_kept(tmp_path: Path, played: list[VoiceMessage]) -> None:
    """However short it is, and whatever map it has."""
    messages = [Timed(0.1 * rank, message) for rank, message in enumerate(played)]
    take = record(tmp_path, messages).finish(101.0)
    assert take is not None
    assert take.path is not None
    assert [each.message for each in read_take(take.path).messages] == played
