"""`eightholes log`: what is kept of a learner, said, carried elsewhere, and deleted for good."""

from __future__ import annotations

import json
import os
import time
from pathlib import Path

import pytest

from companion.__main__ import main
from companion.lesson.progress.book import ProgressBook
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.score.abc import read_abc
from companion.score.bundled import bundled_folder
from tests.companion.lesson.progress.playing import TAORLUATH, heard, on_day, take
from tests.companion.window.players import write_take

NAME = "Ann Somebody"


@pytest.fixture(autouse=True)
def _at_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("EIGHTHOLES_DATA", str(tmp_path / "data"))


@pytest.fixture
def ann(tmp_path: Path) -> None:
    """A month of takes."""
    book = ProgressBook(tmp_path / "data" / "progress.sqlite")
    for day in range(30):
        book.take_in(NAME, take(on_day(day), heard(TAORLUATH, min(10, 2 + day), 10), file=f"{day}.mid"), on_day(day))
    book.close()


def told(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """What the command prints."""
    assert main(["log", *words]) == 0
    return capsys.readouterr().out


@pytest.mark.usefixtures("ann")
def test_it_ends_with_what_to_do_today(capsys: pytest.CaptureFixture[str]) -> None:
    text = told(capsys, "--learner", NAME)
    assert text.startswith(NAME)
    assert "taorluath on low A" in text
    assert text.splitlines()[-1].startswith("Today: ")


@pytest.mark.usefixtures("ann")
def test_json_tells_the_same(capsys: pytest.CaptureFixture[str]) -> None:
    data = json.loads(told(capsys, "--learner", NAME, "--json"))
    assert (data["learner"], data["takes"], data["days"]) == (NAME, 30, 30)
    assert len(data["embellishments"]) == 1


@pytest.mark.usefixtures("ann")
def test_a_learner_is_carried_to_another_computer_and_deleted_here(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    here = told(capsys, "--learner", NAME, "--json")
    file = tmp_path / "ann.json"
    told(capsys, "--learner", NAME, "--export", str(file))
    assert main(["log", "--learner", NAME, "--export", str(file)]) == 2, "nothing is written over"
    monkeypatch.setenv("EIGHTHOLES_DATA", str(tmp_path / "elsewhere"))
    told(capsys, "--import", str(file))
    assert told(capsys, "--learner", NAME, "--json") == here
    told(capsys, "--import", str(file))
    assert told(capsys, "--learner", NAME, "--json") == here, "once more changes nothing"
    monkeypatch.setenv("EIGHTHOLES_DATA", str(tmp_path / "data"))
    told(capsys, "--learner", NAME, "--delete")
    assert told(capsys, "--list").split() == ["nobody", "yet"]
    assert all(NAME.encode() not in each.read_bytes() for each in (tmp_path / "data").iterdir() if each.is_file())


def test_a_learner_who_is_not_there_is_a_users_error(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["log", "--learner", "Nobody"]) == 2
    assert "nothing is kept of 'Nobody'" in capsys.readouterr().err


def test_a_file_that_is_no_learner_is_refused_in_a_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spoilt = tmp_path / "x.json"
    for text in ("", "{", '{"format": "another"}', "[" * 100_000):
        spoilt.write_text(text)
        assert main(["log", "--import", str(spoilt)]) == 2
        (line,) = capsys.readouterr().err.splitlines()
        assert line.isprintable()


def test_takes_of_before_are_taken_in_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Those that are at rest; a take that goes on waits for the next time."""
    tune = read_abc(bundled_folder() / "the-ropewalk-cat.abc").tunes[0]
    folder = tmp_path / "data" / "takes"
    folder.mkdir(parents=True)
    path = write_take(folder, tune, build_schedule(tune, Timing()), Timing(), DEFAULT_MAP)
    assert json.loads(told(capsys, "--json"))["takes"] == 0
    before = time.time() - 3600.0
    os.utime(path, (before, before))
    for _ in range(2):
        assert json.loads(told(capsys, "--json"))["takes"] == 1
    assert "Tempo reached" in told(capsys)


@pytest.mark.usefixtures("ann")
def test_a_learner_is_added_under_another_name(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The one that is given; who is there already stays."""
    file = str(tmp_path / "ann.json")
    told(capsys, "--learner", NAME, "--export", file)
    assert told(capsys, "--import", file, "--learner", "Bea") == "30 takes taken in\n"
    assert told(capsys, "--list").splitlines() == [NAME, "Bea"]


def test_a_damaged_file_is_one_line_beside_the_rest(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Set aside, and the rest goes on."""
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / "progress.sqlite").write_bytes(b"spoilt")
    assert main(["log"]) == 0
    out, err = capsys.readouterr()
    assert "0 takes" in out
    (line,) = err.splitlines()
    assert "kept as progress.sqlite.unreadable" in line


@pytest.mark.parametrize("words", [("--import", "x.json"), ("--delete",), ("--export", "x.json")])
def test_what_needs_the_file_is_refused_without_it(
    words: tuple[str, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """To import into memory would be to lose it."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "taken").write_text("")
    monkeypatch.setenv("EIGHTHOLES_DATA", str(tmp_path / "taken" / "data"))
    assert main(["log", *words]) == 2
    assert "until the program ends" in capsys.readouterr().err
