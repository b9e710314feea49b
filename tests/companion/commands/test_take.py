"""`eightholes take list`."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from companion.__main__ import main
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOn
from companion.midi.takes.heading import Heading, TuneIdentity
from companion.midi.takes.take_file import TakeFile
from companion.schedule.timing import Timing

TUNE = TuneIdentity("A Tune", "tunes/a.abc", "1", "0" * 64)


@pytest.fixture
def takes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The program's folder of takes, with one take of a tune and one of free play in it."""
    monkeypatch.setenv("EIGHTHOLES_DATA", str(tmp_path))
    folder = tmp_path / "takes"
    folder.mkdir()
    headings = (
        Heading(datetime(2026, 1, 2, tzinfo=UTC), "Chanter:MIDI", DEFAULT_MAP, TUNE, Timing(slow_down=2.0)),
        Heading(datetime(2026, 1, 1, tzinfo=UTC), "keys", DEFAULT_MAP),
    )
    for rank, heading in enumerate(headings):
        file = TakeFile(folder / f"{rank}.mid", heading)
        file.append([Timed(0.5, NoteOn(0, 69))])
        file.finish(4.0)
    return folder


def test_takes_are_listed_oldest_first(takes: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A line for each: what, how slow, how long, on what."""
    assert main(["take", "list"]) == 0
    _, first, second = capsys.readouterr().out.splitlines()
    assert "free play, 4 s on keys  (1.mid)" in first
    assert "A Tune, 2 times slower, 4 s on Chanter:MIDI  (0.mid)" in second


def test_takes_are_listed_for_other_programs(takes: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As JSON, times in milliseconds."""
    assert main(["take", "list", "--json"]) == 0
    first, second = json.loads(capsys.readouterr().out)
    assert (first["title"], first["end_ms"], first["messages"]) == (None, 4000, 1)
    assert (second["title"], second["tune_file"], second["slow_down"]) == ("A Tune", "tunes/a.abc", 2.0)


def test_a_file_that_is_no_take_is_one_line_beside_the_list(takes: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The others are listed all the same."""
    (takes / "bad.mid").write_bytes(b"MThd")
    assert main(["take", "list"]) == 0
    told = capsys.readouterr()
    assert len(told.out.splitlines()) == 3
    assert told.err.count("\n") == 1
    assert "bad.mid" in told.err


def test_no_takes_yet_is_no_mistake(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A folder that is not there holds none."""
    assert main(["take", "list", "--folder", str(tmp_path / "none")]) == 0
    assert "no takes yet" in capsys.readouterr().out
