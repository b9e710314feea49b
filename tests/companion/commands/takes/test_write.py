"""`eightholes write`: a take becomes an ABC file."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path
from random import Random

import mido
import pytest

from companion.__main__ import main
from companion.score.abc.tunebook import read_abc_text
from companion.score.model import Tune
from tests.companion.notate.playing import MARCH, take_of, tune_of
from tests.hearing.files import write_recording
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.takes import cut
from tests.learners.learner import Learner
from tests.learners.player import simulate

pytestmark = pytest.mark.same_everywhere

VOICE = SoundSource.PRACTICE_VOICE

TICKS_A_SECOND = 9600
TUNE = tune_of(MARCH)


@pytest.fixture
def take(tmp_path: Path) -> str:
    """A Standard MIDI File of the march, played twice as it is written."""
    file = mido.MidiFile(ticks_per_beat=TICKS_A_SECOND // 2)
    track = mido.MidiTrack()
    file.tracks.append(track)
    now = 0
    for event, following in pairwise(take_of(TUNE)):
        assert event.note is not None
        begins, ends = (round(each.at_s * TICKS_A_SECOND) for each in (event, following))
        track.append(mido.Message("note_on", note=event.note.midi, velocity=64, time=begins - now))
        track.append(mido.Message("note_off", note=event.note.midi, velocity=0, time=ends - begins))
        now = ends
    path = tmp_path / "take.mid"
    file.save(path)
    return str(path)


def test_a_take_is_written_into_a_file(take: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With its title, its tempo, where it comes from, and every note."""
    output = tmp_path / "tune.abc"
    assert main(["write", take, "-o", str(output), "--title", "From the pier"]) == 0
    book = read_abc_text(output.read_text(encoding="utf-8"))
    (tune,) = book.tunes
    assert not book.problems
    assert tune.title == "From the pier"
    assert [(note.note, note.duration, note.gracenotes) for note in tune.notes] == [
        (note.note, note.duration, note.gracenotes) for note in TUNE.notes
    ]
    assert any(field.key == "N" and "from a take of" in field.text for field in tune.fields)
    assert capsys.readouterr().out == ""


def test_without_a_file_it_is_printed(take: str, capsys: pytest.CaptureFixture[str]) -> None:
    """As ABC, which reads; free play has that for a title."""
    assert main(["write", take, "--meter", "4/4", "--tempo", "70"]) == 0
    assert read_abc_text(capsys.readouterr().out).tunes[0].title == "Free play"


def test_a_file_is_not_written_over_unasked(take: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Nor ever the take itself."""
    output = tmp_path / "tune.abc"
    output.write_text("mine", encoding="utf-8")
    assert main(["write", take, "-o", str(output)]) == 2
    assert main(["write", take, "-o", take, "--force"]) == 2
    assert output.read_text(encoding="utf-8") == "mine"
    assert capsys.readouterr().err.count("\n") == 2


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--meter", "waltz"], "'waltz' is no metre"),
        (["--meter", "5/4"], "takes cannot be written down in '5/4'"),
        (["--tempo", "9999"], "9999 beats a minute is out of reach"),
    ],
)
def test_what_cannot_be_is_said_in_one_line(
    take: str, words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """With what to write instead."""
    assert main(["write", take, *words]) == 2
    error = capsys.readouterr().err
    assert said in error
    assert error.count("\n") == 1


def test_an_empty_take_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing is written, and the file is told."""
    path = tmp_path / "empty.mid"
    file = mido.MidiFile()
    file.tracks.append(mido.MidiTrack())
    file.save(path)
    output = tmp_path / "tune.abc"
    assert main(["write", str(path), "-o", str(output)]) == 2
    assert "empty.mid" in capsys.readouterr().err
    assert not output.exists()


def test_a_recording_is_written_down(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A sound file of our practice voice, a part of the march played once: every note, and where it comes from."""
    tune = tune_of(MARCH.replace("|:", "").replace(":|", "||"))
    sound = tmp_path / "from the pier.wav"
    write_sound_file(tune, sound)
    output = tmp_path / "tune.abc"
    assert main(["write", str(sound), "-o", str(output), "--meter", "4/4"]) == 0
    (written,) = read_abc_text(output.read_text(encoding="utf-8")).tunes
    assert written.title == "from the pier"
    assert [(note.note, note.duration) for note in written.notes] == [(note.note, note.duration) for note in tune.notes]
    assert any("from the recording from the pier.wav" in field.text for field in written.fields if field.key == "N")
    assert capsys.readouterr().out == ""


def write_sound_file(tune: Tune, path: Path) -> None:
    """The tune as the practice voice plays it, without drones."""
    sound = sounding(
        cut("march", simulate(tune, Learner(70.0, spread=0.0, drift=0.0), 1), math.inf, Random(1)), VOICE, 1
    )
    write_recording(path, sound)
