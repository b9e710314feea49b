"""Compressed sound: read again, it is what the WAV file holds, at the same time."""

from __future__ import annotations

import wave
from pathlib import Path

import av
import numpy as np
import pytest
from numpy.typing import NDArray

from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.sound.files.sound_file import SOUND_ENDINGS, write_sound
from companion.sound.renderer import Renderer
from companion.sound.settings import SoundSettings
from fingering.errors import UserError
from tests.companion.media.decoded import decoded_sound, lag_s
from tests.companion.tune_building import notes, tune

CODECS = {".flac": ("flac", "flac"), ".mp3": ("mp3", "mp3float"), ".ogg": ("ogg", "opus")}
"""FFmpeg's names of container and decoder."""

FAITHFUL = 0.05
"""What a lossy coding may add, as a share of the sound: the drones and a chanter lose a thirtieth here (measured)."""


def short_tune() -> Tune:
    """Two seconds with gracenotes."""
    return tune(notes("A g:c gde:d e"))


def renderer() -> Renderer:
    """The tune, about to be rendered."""
    return Renderer(build_schedule(short_tune(), Timing()), SoundSettings(metronome_level=0.25))


@pytest.fixture
def plain(tmp_path: Path) -> NDArray[np.float64]:
    """The samples of the tune's WAV file."""
    path = tmp_path / "plain.wav"
    write_sound(path, renderer())
    with wave.open(str(path)) as file:
        return np.frombuffer(file.readframes(file.getnframes()), "<i2").reshape(-1, 2) / 32_768.0


def test_flac_keeps_every_sample(tmp_path: Path, plain: NDArray[np.float64]) -> None:
    """Bit for bit."""
    write_sound(tmp_path / "x.flac", renderer())
    assert np.array_equal(decoded_sound(tmp_path / "x.flac").samples, plain)


@pytest.mark.parametrize("ending", [".mp3", ".ogg"])
def test_lossy_sound_is_as_long_and_in_time(ending: str, tmp_path: Path, plain: NDArray[np.float64]) -> None:
    """Not a sample longer or shorter, nor later: what encoders put before the sound is taken away again."""
    path = tmp_path / f"x{ending}"
    write_sound(path, renderer())
    heard = decoded_sound(path).samples
    assert len(heard) == len(plain)
    assert lag_s(heard[:, 0], plain[:, 0]) == 0.0
    assert np.sqrt(np.mean((heard - plain) ** 2)) < FAITHFUL * np.sqrt(np.mean(plain**2))
    assert path.stat().st_size < len(plain) * 4 / 4


@pytest.mark.parametrize("ending", CODECS)
def test_the_ending_says_what_a_file_is(ending: str, tmp_path: Path) -> None:
    """In capital letters as well."""
    path = tmp_path / f"x{ending.upper()}"
    write_sound(path, renderer())
    with av.open(str(path)) as file:
        assert (file.format.name, file.streams.audio[0].codec_context.name) == CODECS[ending]
        assert file.streams.audio[0].codec_context.layout.name == "stereo"


def test_progress_is_told_to_the_end(tmp_path: Path) -> None:
    """As a share that grows to 1."""
    shares: list[float] = []
    write_sound(tmp_path / "x.ogg", renderer(), shares.append)
    assert shares == sorted(shares)
    assert (len(shares) > 2, shares[-1]) == (True, 1.0)


def test_another_ending_is_refused(tmp_path: Path) -> None:
    """With those that work."""
    with pytest.raises(UserError) as refusal:
        write_sound(tmp_path / "x.aiff", renderer())
    assert all(ending in str(refusal.value) for ending in SOUND_ENDINGS)
    assert not list(tmp_path.iterdir())
