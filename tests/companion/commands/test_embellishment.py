"""One embellishment alone from the command line: a picture, a sound, and the window opened on it."""

from __future__ import annotations

import argparse
import wave
from pathlib import Path

import pytest

from companion.__main__ import main
from companion.commands import picture, show, sound
from companion.commands.shared.embellishment_options import exercise_from, subject_from
from companion.sound.settings import SAMPLE_RATE_HZ
from companion.window.embellishments.practice_screen import PracticeScreen
from companion.window.program import Opening, play_screen
from fingering.notes import Note
from tests.companion.commands.test_crossing_pictures import png_size
from tests.companion.window import scenes

TAORLUATH = ["--embellishment", "taorluath"]


def parsed(command: object, *words: str) -> argparse.Namespace:
    """The options of a command."""
    parser = argparse.ArgumentParser()
    command.configure(parser)  # type: ignore[attr-defined]
    return parser.parse_args(words)


@pytest.mark.parametrize("command", [picture, sound, show], ids=["picture", "sound", "show"])
def test_three_commands_name_it_alike(command: object) -> None:
    """By its name and two notes, low A and C unless others are given."""
    output = [] if command is show else ["-o", "x"]
    usual = subject_from(parsed(command, *TAORLUATH, *output))
    assert usual is not None
    assert (usual.embellishment.onto, usual.before, usual.embellishment.spelling) == (Note.LOW_A, Note.C, "GdGe")
    other = subject_from(parsed(command, *TAORLUATH, "--onto", "B", "--from", "d", *output))
    assert other is not None
    assert (other.embellishment.onto, other.before, other.embellishment.spelling) == (Note.B, Note.D, "GBGe")
    assert subject_from(parsed(command, "drills", *output)) is None
    assert exercise_from(parsed(command, "drills", *output)) is None


def test_a_picture_of_a_moment_of_it(tmp_path: Path) -> None:
    """Each gracenote of the second note is another picture."""
    seen = set()
    for rank, place in enumerate(("1.1", "1.2.1", "1.2.2", "1.2")):
        path = tmp_path / f"{rank}.png"
        words = ["picture", *TAORLUATH, "--at", place, "--size", "800x600", "-o", str(path)]
        assert main(words) == 0
        assert png_size(path) == (800, 600)
        seen.add(path.read_bytes())
    assert len(seen) == 4


def test_its_sound_is_a_bar_as_slow_as_asked(tmp_path: Path) -> None:
    """Four beats at 60 a minute, four times slower."""
    path = tmp_path / "x.wav"
    assert main(["sound", *TAORLUATH, "--slow", "4", "-o", str(path)]) == 0
    with wave.open(str(path)) as file:
        assert file.getnframes() / SAMPLE_RATE_HZ == pytest.approx(16.0, abs=0.5)


@pytest.mark.parametrize(("words", "slow_down"), [((), 4.0), (("--slow", "8"), 8.0)])
def test_the_window_opens_on_it(words: tuple[str, ...], slow_down: float) -> None:
    """Over the tunes of ours, at a quarter of its speed unless another is asked for, running unless paused."""
    options = parsed(show, *TAORLUATH, "--paused", *words)
    over = show.over(options, None, subject_from(options))
    assert over is not None
    tune = scenes.tune()
    screen = over(play_screen(Opening((tune,), tune, playing=False)))
    assert isinstance(screen, PracticeScreen)
    assert screen.stage.state.timing.slow_down == slow_down
    assert not screen.stage.state.playing
    assert screen.subject.embellishment.full_name == "taorluath on low A"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["picture", "drills", *TAORLUATH, "-o", "x.png"], "it is not clear what to draw"),
        (["picture", *TAORLUATH, "--map", "-o", "x.png"], "it is not clear what to draw"),
        (["picture", *TAORLUATH, "--at", "9", "-o", "x.png"], "no bar 9 is played"),
        (["picture", "--embellishment", "curl", "-o", "x.png"], "there is no 'curl' onto low A"),
        (["picture", *TAORLUATH, "--from", "z", "-o", "x.png"], "the chanter has no note 'z'"),
        (["sound", "drills", *TAORLUATH, "-o", "x.wav"], "do not go together"),
        (["sound", "-o", "x.wav"], "it is not clear what is to sound"),
        (["sound", "--embellishment", "birl", "--onto", "e", "-o", "x.wav"], "there is no 'birl' onto E"),
    ],
)
def test_a_mistake_is_one_line(
    words: list[str], told: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is wrong, what to do, status 2, and no file is left behind."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("EIGHTHOLES_DATA", str(tmp_path))
    assert main(words) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert told in line
    assert "; " in line
    assert list(tmp_path.iterdir()) == []
