"""`eightholes sound`: a WAV file from the command line."""

from __future__ import annotations

import wave
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from companion.__main__ import main
from tests.companion.sound.hearing import cents, energy, peak_hz

LONG_A = "X:1\nT:One note\nM:4/4\nL:1/4\nQ:1/4=60\nK:HP\nA4|\n"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A tune of one low A, four seconds long."""
    path = tmp_path / "long.abc"
    path.write_text(LONG_A)
    return path


def _sound(file: Path, *words: str) -> NDArray[np.float64]:
    """The left side of what the command writes."""
    path = file.with_suffix(".wav")
    assert main(["sound", str(file), "--force", "-o", str(path), *words]) == 0
    with wave.open(str(path)) as written:
        return np.frombuffer(written.readframes(written.getnframes()), "<i2").reshape(-1, 2)[:, 0] / 32_768.0


def test_it_writes_the_tune_and_says_how_long_it_is(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Four seconds and what the drones take to die away."""
    samples = _sound(file)
    assert 4.0 <= len(samples) / 48_000 < 4.6
    assert capsys.readouterr().out == f"{file.with_suffix('.wav')}: 4.0 s\n"


def test_tempo_and_slow_down_change_its_length(file: Path) -> None:
    """At 120 and three times as slow: six seconds."""
    assert 6.0 <= len(_sound(file, "--tempo", "120", "--slow", "3")) / 48_000 < 6.6


@pytest.mark.parametrize(("voice", "hz"), [("practice", 238.0), ("pipe", 476.0)])
def test_voice_and_pitch_are_followed(file: Path, voice: str, hz: float) -> None:
    """Low A at 476 Hz on the pipe, an octave below on the practice chanter."""
    samples = _sound(file, "--voice", voice, "--low-a", "476", "--no-drones")
    assert abs(cents(peak_hz(samples[48_000:96_000], hz), hz)) < 1.0


def test_drones_sound_unless_they_are_left_out(file: Path) -> None:
    """The bass, at a quarter of low A, is there or not."""
    with_drones, without = (_sound(file, *words)[48_000:96_000] for words in ((), ("--no-drones",)))
    assert energy(with_drones, 115.0, 125.0) > 1e6 * energy(without, 115.0, 125.0)


def test_a_metronome_ticks_when_asked(file: Path) -> None:
    """Alone, four beats are four ticks."""
    samples = np.abs(_sound(file, "--metronome", "--chanter", "0", "--no-drones"))
    loud = samples[:192_000].reshape(4, -1)[:, :2_000].max(axis=1)
    assert np.all(loud > 0.05)
    assert samples[10_000:40_000].max() == 0.0


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["--low-a", "500"], "a low A of 500 Hz is out of reach; choose 440 to 490 Hz"),
        (["--chanter", "2"], "a chanter level of 2 is out of reach; choose 0 (silent) to 1"),
        (["--metronome-level", "-1"], "a metronome level of -1 is out of reach; choose 0 (silent) to 1"),
        (["-o", "/no/such/folder/x.wav"], "/no/such/folder/x.wav: there is no folder /no/such/folder; make it"),
    ],
)
def test_a_mistake_is_one_line_and_status_2(
    file: Path, words: list[str], line: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """What was got, and what to do."""
    assert main(["sound", str(file), "-o", str(file.with_suffix(".wav")), *words]) == 2
    printed = capsys.readouterr()
    assert line in printed.err
    assert printed.err.count("\n") == 1


def test_help_says_to_keep_headphones_low(capsys: pytest.CaptureFixture[str]) -> None:
    """The program cannot know how loud it is at an ear."""
    with pytest.raises(SystemExit, match=r"^0$"):
        main(["sound", "--help"])
    assert "Keep headphones low" in capsys.readouterr().out


def test_a_count_in_is_there_only_when_asked(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A breath and four beats of a second before the tune; what follows is as it is without."""
    plain = _sound(file, "--metronome", "--no-drones")
    counted = _sound(file, "--metronome", "--no-drones", "--count-in")
    assert capsys.readouterr().out.endswith(": 8.1 s\n")
    assert len(counted) - len(plain) == round(4.1 * 48_000)
    assert np.array_equal(counted[-len(plain) :], plain)
    before = counted[: -len(plain)]
    assert [before[round(at_s * 48_000) :][:2_000].any() for at_s in (0.1, 1.1, 2.1, 3.1)] == [True] * 4
    assert not before[:4_700].any()


@pytest.mark.parametrize(
    ("words", "metre", "told"),
    [((), "4/4", "give --metronome"), (("--metronome",), "none", "leave --count-in away")],
)
def test_a_count_in_that_cannot_be_heard_is_a_mistake(
    file: Path, words: tuple[str, ...], metre: str, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without a metronome, and in a free metre."""
    file.write_text(LONG_A.replace("4/4", metre))
    assert main(["sound", str(file), "-o", str(file.with_suffix(".wav")), "--count-in", *words]) == 2
    assert told in capsys.readouterr().err
