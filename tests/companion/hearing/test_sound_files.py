"""Recordings as files of every kind, and what is none."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
import soundfile

from companion.hearing.files.sound_file import open_sound
from companion.hearing.hear import Samples
from fingering.errors import UserError
from tests.hearing.conditions.codec import write_sound

RATE_HZ = 44_100


@cache
def sine() -> Samples:
    """Two seconds of a sine."""
    return (0.5 * np.sin(2.0 * np.pi * 480.0 * np.arange(2 * RATE_HZ) / RATE_HZ)).astype(np.float32)


def samples_of(path: Path) -> Samples:
    """All samples of a file, its first channel."""
    blocks = [each if each.ndim == 1 else each[:, 0] for each in open_sound(path).blocks()]
    return np.concatenate(blocks)


@pytest.mark.parametrize(
    ("name", "subtype", "tolerance"),
    [("a.wav", "PCM_16", 1e-4), ("a.wav", "PCM_24", 1e-6), ("a.flac", "PCM_24", 1e-6), ("a.wav", "FLOAT", 1e-7)],
)
def test_what_keeps_every_sample_is_read_as_it_was(tmp_path: Path, name: str, subtype: str, tolerance: float) -> None:
    """Mono or stereo, and as often as is asked for."""
    path = tmp_path / name
    soundfile.write(path, np.stack((sine(), 0.1 * sine()), axis=1), RATE_HZ, subtype)
    sound = open_sound(path)
    assert (sound.rate_hz, sound.frames) == (RATE_HZ, 2 * RATE_HZ)
    for _ in range(2):
        assert np.abs(samples_of(path) - sine()).max() < tolerance


@pytest.mark.parametrize(
    ("name", "container", "codec", "picture"),
    [("a.m4a", "ipod", "aac", False), ("a.mp4", "mp4", "aac", True), ("a.mp3", "mp3", "libmp3lame", False)],
)
def test_compressed_sound_and_films_are_read(
    tmp_path: Path, name: str, container: str, codec: str, picture: bool
) -> None:
    """As long as they were, to a frame or three of the codec, and as loud."""
    path = tmp_path / name
    write_sound(path, sine(), RATE_HZ, container, codec, kbit_s=128, with_picture=picture)
    found = samples_of(path)
    assert abs(len(found) - 2 * RATE_HZ) <= 3 * 1_152
    assert np.abs(found[RATE_HZ // 2 : RATE_HZ]).max() == pytest.approx(0.5, abs=0.05)


def test_a_file_that_ends_too_soon_is_read_as_far_as_it_goes(tmp_path: Path) -> None:
    """A recorder that was switched off leaves one."""
    path = tmp_path / "cut.wav"
    soundfile.write(path, sine(), RATE_HZ, "PCM_16")
    path.write_bytes(path.read_bytes()[: RATE_HZ * 2])
    found = samples_of(path)
    assert 0.9 * RATE_HZ < len(found) <= RATE_HZ
    assert np.abs(found - sine()[: len(found)]).max() < 1e-4


@pytest.mark.parametrize(
    ("content", "words"),
    [(b"", "empty"), (b"X:1\nT:No sound\nK:HP\nA4|\n", "no sound file"), (b"RIFF\x00\x00\x00\x00WAVE", "sound")],
)
def test_what_is_no_sound_is_refused_in_one_line(tmp_path: Path, content: bytes, words: str) -> None:
    """An empty file, a tune, a header and nothing more."""
    path = tmp_path / "no.wav"
    path.write_bytes(content)
    with pytest.raises(UserError, match=words) as caught:
        samples_of(path)
    assert "\n" not in str(caught.value)
    assert "no.wav" in str(caught.value)


def test_no_file_a_folder_and_an_empty_recording_are_refused(tmp_path: Path) -> None:
    """Each with what to do."""
    with pytest.raises(UserError, match="no such file"):
        open_sound(tmp_path / "none.wav")
    with pytest.raises(UserError, match="folder"):
        open_sound(tmp_path)
    empty = tmp_path / "nothing.wav"
    soundfile.write(empty, np.zeros(0, np.float32), RATE_HZ)
    with pytest.raises(UserError, match="empty"):
        open_sound(empty)
