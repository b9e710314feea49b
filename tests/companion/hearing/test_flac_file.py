"""Recordings that are written while they are made: what can be read of them at any moment."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from companion.hearing.files.flac_file import FlacFile
from companion.hearing.files.sound_file import STEP_FRAMES, open_sound
from fingering.errors import UserError
from tests.hearing.recording import RATE_HZ, Samples

HALF_STEP = 0.51 / 32768.0


@pytest.fixture
def noise() -> Samples:
    """Two seconds of which no moment is like another."""
    return np.random.default_rng(11).normal(0.0, 0.2, 2 * RATE_HZ).astype(np.float32)


def read(path: Path) -> Samples:
    """All samples of a file."""
    sound = open_sound(path)
    assert sound.rate_hz == RATE_HZ
    samples = np.concatenate([np.zeros(0, np.float32), *sound.blocks()])
    assert len(samples) == sound.frames
    return samples


def test_what_is_written_is_read_again(tmp_path: Path, noise: Samples) -> None:
    """To the nearest of 16 bits; what is louder than a file can hold is cut, and does not turn over."""
    noise[100:200] = 1.7
    noise[200:300] = -1.7
    file = FlacFile(tmp_path / "take.flac", RATE_HZ)
    for first in range(0, len(noise), 480):
        file.write(noise[first : first + 480])
    file.close()
    assert np.abs(read(tmp_path / "take.flac") - np.clip(noise, -1.0, 1.0)).max() <= 2.0 * HALF_STEP


@pytest.mark.parametrize("torn", [0, 1, 700, 3000])
def test_a_file_that_was_never_closed_is_read_as_far_as_it_goes(tmp_path: Path, noise: Samples, torn: int) -> None:
    """Its head has no length; at any moment all but two frames of FLAC are there, and one less where it is torn."""
    file = FlacFile(tmp_path / "take.flac", RATE_HZ)
    file.write(noise)
    data = (tmp_path / "take.flac").read_bytes()
    (tmp_path / "cut.flac").write_bytes(data[: len(data) - torn])
    samples = read(tmp_path / "cut.flac")
    assert len(samples) > len(noise) - 4 * STEP_FRAMES
    assert np.abs(samples - noise[: len(samples)]).max() <= 2.0 * HALF_STEP
    file.close()
    assert len(read(tmp_path / "take.flac")) == len(noise)


def test_a_file_that_was_killed_at_once_is_told(tmp_path: Path) -> None:
    """It has a head and nothing else."""
    file = FlacFile(tmp_path / "take.flac", RATE_HZ)
    (tmp_path / "cut.flac").write_bytes((tmp_path / "take.flac").read_bytes())
    file.close()
    with pytest.raises(UserError) as told:
        open_sound(tmp_path / "cut.flac")
    assert str(told.value).startswith(f"{tmp_path / 'cut.flac'}: ")
