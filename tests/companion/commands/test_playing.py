"""Pictures of playing in from the command line, and what is told of takes that are none."""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.__main__ import main
from companion.commands.shared.library import sound_tune
from companion.commands.shared.playing_options import tune_list_of_take
from companion.midi.maps.keys import KEYS_MAP
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.takes.reading import read_take
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from tests.companion.commands.test_crossing_pictures import png_size
from tests.companion.window.players import write_take

pytestmark = pytest.mark.same_everywhere

TUNE = "the-slip-in-a-squall"


@pytest.fixture(scope="module")
def take(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A take of a tune of ours."""
    tune, timing = sound_tune(TUNE, None), Timing(slow_down=2.0)
    return write_take(tmp_path_factory.mktemp("takes"), tune, build_schedule(tune, timing), timing, KEYS_MAP)


def drawn(take: Path, folder: Path, *words: str) -> bytes:
    """The picture's file."""
    path = folder / f"{len(list(folder.iterdir()))}.png"
    assert main(["picture", *words, "--take", str(take), "--size", "800x600", "-o", str(path)]) == 0
    assert png_size(path) == (800, 600)
    return path.read_bytes()


def test_a_take_is_drawn_in_three_ways(take: Path, tmp_path: Path) -> None:
    """Played back, as free play, and beside its tune as it was played; each moment another picture."""
    ways: list[list[str]] = [[], ["--free"], [TUNE]]
    pictures = [drawn(take, tmp_path, *way, "--second", second) for way in ways for second in ("5", "6")]
    assert len(set(pictures)) == 6


def test_a_picture_of_playing_leaves_no_take_behind(
    take: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is kept of what is only drawn."""
    monkeypatch.setenv("EIGHTHOLES_DATA", str(tmp_path / "data"))
    (tmp_path / "out").mkdir()
    drawn(take, tmp_path / "out", TUNE, "--second", "5")
    assert not (tmp_path / "data").exists()


def test_the_tune_of_a_take_is_found(take: Path) -> None:
    """In the file that the take names, else among ours."""
    assert tune_list_of_take(read_take(take), None).first.title == sound_tune(TUNE, None).title


def test_a_take_whose_file_is_gone_still_plays(tmp_path: Path) -> None:
    """Beside no tune at all."""
    tune, timing = sound_tune(TUNE, None), Timing()
    path = write_take(tmp_path, None, build_schedule(tune, timing), timing, DEFAULT_MAP)
    assert tune_list_of_take(read_take(path), None).tunes
    assert drawn(path, tmp_path, "--second", "3")


@pytest.mark.parametrize("command", ["picture", "show"])
def test_what_is_no_take_is_told_in_one_line(command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Status 2 and what to do, whether the file is spoilt or not there."""
    spoilt = tmp_path / "spoilt.mid"
    spoilt.write_bytes(b"MThd what?")
    output = ["-o", str(tmp_path / "x.png")] if command == "picture" else []
    for path in (spoilt, tmp_path / "nowhere.mid"):
        assert main([command, "--take", str(path), *output]) == 2
        told = capsys.readouterr().err.strip().splitlines()
        assert len(told) == 1
        assert told[0].startswith("eightholes: ")
