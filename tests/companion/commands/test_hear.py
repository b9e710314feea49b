"""`eightholes hear`, and `judge` on a recording: what is printed."""

from __future__ import annotations

import json
from pathlib import Path
from random import Random

import numpy as np
import pytest
import soundfile

from companion.__main__ import main
from companion.score.abc.tunebook import read_abc_text
from tests.companion.listen.playing import FOUR_BARS
from tests.hearing.recording import RATE_HZ
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.takes import cut
from tests.learners.learner import Learner
from tests.learners.player import simulate

pytestmark = pytest.mark.same_everywhere

ABC = f"%abc-2.1\nX:1\nT:A test\nM:4/4\nL:1/8\nQ:1/4=60\nK:HP\n{FOUR_BARS}\n"


@pytest.fixture(scope="module")
def recording(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A tune, and a faultless recording of it."""
    folder = tmp_path_factory.mktemp("recording")
    tune_path, sound_path = folder / "tune.abc", folder / "take.wav"
    tune_path.write_text(ABC, encoding="utf-8")
    tune = read_abc_text(ABC).tunes[0]
    take = simulate(tune, Learner(60.0, spread=0.0, drift=0.0), 1)
    made = sounding(cut("whole", take, 1_000.0, Random(0)), SoundSource.PRACTICE_VOICE, 3)
    soundfile.write(sound_path, made.samples, made.rate_hz)
    return tune_path, sound_path


def test_json_holds_what_was_heard(recording: tuple[Path, Path], capsys: pytest.CaptureFixture[str]) -> None:
    """Tuning, drones, noise, and each event with its time, note, length and confidence."""
    assert main(["hear", str(recording[1]), "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert 190.0 < data["low_a_hz"] < 250.0
    assert data["drones"] is False
    assert data["noise_db"] < -20.0
    events = data["events"]
    assert [each["at_ms"] for each in events] == sorted(each["at_ms"] for each in events)
    assert {each["note"] for each in events} <= set("GABcdefgaz")
    assert all(0.0 <= each["confidence"] <= 1.0 and each["ms"] > 0.0 for each in events)


def test_people_are_told_in_words(recording: tuple[Path, Path], capsys: pytest.CaptureFixture[str]) -> None:
    """One line a note, by the name that pipers say."""
    assert main(["hear", str(recording[1])]) == 0
    out = capsys.readouterr().out
    assert out.startswith("low A ")
    assert "low A" in out
    assert "no drones" in out


def test_a_recording_is_judged_as_a_take(recording: tuple[Path, Path], capsys: pytest.CaptureFixture[str]) -> None:
    """A faultless one draws no finding."""
    assert main(["judge", str(recording[0]), str(recording[1]), "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["findings"] == []
    assert data["summary"]["notes"]["right"] == data["summary"]["notes"]["of"]


@pytest.mark.parametrize("command", ["hear", "judge"])
def test_a_silent_file_is_refused_in_one_line(
    recording: tuple[Path, Path], command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With the file's name and what to do."""
    silent = tmp_path / "silent.wav"
    soundfile.write(silent, np.zeros(RATE_HZ, np.float32), RATE_HZ)
    words = [str(recording[0])] if command == "judge" else []
    assert main([command, *words, str(silent)]) == 2
    told = capsys.readouterr().err.strip().splitlines()
    assert len(told) == 1
    assert "silent.wav" in told[0]
    assert "microphone" in told[0]
