"""`eightholes film` and the stretches of `eightholes sound`: what the options ask for, and what is refused."""

from __future__ import annotations

import sys
from pathlib import Path

import av
import pytest

from companion.__main__ import main
from companion.film.scene import END_S, STILL_S
from companion.midi.maps.keys import KEYS_MAP
from companion.midi.takes.reading import read_take
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.score.abc import read_abc
from tests.companion.commands.program import is_one_line
from tests.companion.media.decoded import decoded_sound
from tests.companion.window.players import write_take

pytestmark = pytest.mark.same_everywhere

QUICK_TUNE = "X:1\nT:Quick\nM:2/4\nL:1/8\nQ:1/4=300\nK:HP\n{g}A2{d}B2|{g}c2{e}d2|{gef}e2{g}f2|{a}g2a2|\n"
BAR_S = 0.4
DRONES_S = 0.4


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a tune of four bars, in which the program runs."""
    (tmp_path / "tune.abc").write_text(QUICK_TUNE)
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize(
    ("words", "bars"), [(["--bars", "2-3"], 2), (["--bars", "4"], 1), (["--part", "1"], 4), (["--phrase", "1"], 2)]
)
def test_a_stretch_alone_is_written(folder: Path, words: list[str], bars: int) -> None:
    """As long as its bars are, and the drones after it."""
    assert main(["sound", "tune.abc", "-o", "x.flac", *words]) == 0
    length_s = len(decoded_sound(folder / "x.flac").samples) / 48_000
    assert length_s == pytest.approx(bars * BAR_S + DRONES_S, abs=0.001)


def test_a_film_is_as_long_as_its_stretch_and_what_goes_round_it(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Still at first, then one bar counted with a breath before it, the stretch, and a calm end; it is told."""
    assert main(["film", "tune.abc", "--bars", "2-2", "-o", "x.webm"]) == 0
    with av.open("x.webm") as film:
        video = film.streams.video[0]
        assert (video.width, video.height) == (1280, 720)
        assert film.duration is not None
        assert film.duration / 1e6 == pytest.approx(STILL_S + 0.1 + 2 * BAR_S + END_S, abs=0.05)
    assert capsys.readouterr().out == "x.webm: 3.9 s\n"


def test_a_take_is_filmed_whole(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Its tune is found in the file that it was played from, or that is named; the film says whose take it is."""
    tune, timing = read_abc(folder / "tune.abc").tunes[0], Timing()
    schedule = build_schedule(tune, timing)
    take = write_take(tmp_path_factory.mktemp("takes"), tune, schedule, timing, KEYS_MAP)
    length_s = read_take(take).end_s + read_take(take).heading.tune_starts_s
    assert main(["film", "tune.abc", "--take", str(take), "-o", "x.mp4"]) == 0
    with av.open("x.mp4") as film:
        assert film.duration is not None
        assert film.duration / 1e6 == pytest.approx(STILL_S + length_s + END_S, abs=0.05)
        assert film.metadata["title"] == "Take of Quick"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            ["film", "tune.abc", "-o", "x.avi"],
            "'x.avi' has no ending of a film; give a name that ends in .mp4 or .webm",
        ),
        (["film", "tune.abc", "-o", "x"], ".mp4 or .webm"),
        (["sound", "tune.abc", "-o", "x.mp4"], "give a name that ends in .wav, .flac, .mp3 or .ogg"),
        (["cross", "a", "e", "-o", "x.aac"], "give a name that ends in .wav, .flac, .mp3 or .ogg"),
        (["film", "tune.abc", "--size", "640x480", "-o", "x.mp4"], "1280x720"),
        (["film", "-o", "x.mp4"], "give a tune, or --embellishment NAME, or --take FILE"),
        (["film", "tune.abc", "--bars", "3-5", "-o", "x.mp4"], "no bar 5 is played; choose 1 to 4"),
        (["film", "tune.abc", "--bars", "4-2", "-o", "x.mp4"], "write FIRST-LAST, like 1-4"),
        (["film", "tune.abc", "--part", "2", "-o", "x.mp4"], "there is no part 2; choose one of 1"),
        (["film", "tune.abc", "--part", "1", "--phrase", "9", "-o", "x.mp4"], "no phrase 9"),
        (["film", "tune.abc", "--bars", "1", "--part", "1", "-o", "x.mp4"], "leave one of them away"),
        (["film", "--embellishment", "grip", "--bars", "1", "-o", "x.mp4"], "a stretch is of a tune"),
        (["film", "--take", "take.mid", "--bars", "1", "-o", "x.mp4"], "a take is filmed whole"),
        (["film", "--take", "nowhere.mid", "-o", "x.mp4"], "nowhere.mid"),
    ],
    ids=lambda each: " ".join(each)[:40] if isinstance(each, list) else "",
)
def test_what_cannot_be_is_refused_in_one_line(
    folder: Path, words: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """With what would do, and nothing written."""
    assert main(words) == 2
    line = capsys.readouterr().err
    assert is_one_line(line)
    assert told in line
    assert {path.name for path in folder.iterdir()} == {"tune.abc"}


def test_a_library_that_is_not_there_is_told(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """And a WAV file needs none."""
    monkeypatch.setitem(sys.modules, "av", None)
    assert main(["sound", "tune.abc", "-o", "x.ogg"]) == 2
    assert "python3 -m pip install av" in capsys.readouterr().err
    assert main(["sound", "tune.abc", "-o", "x.wav"]) == 0
    assert {path.name for path in folder.iterdir()} == {"tune.abc", "x.wav"}
