"""Sounds that are no chanter, and files that are odd, are what their names say."""

from __future__ import annotations

import wave
from itertools import islice
from pathlib import Path

import numpy as np
import pytest

from tests.hearing.conditions.codec import read_sound
from tests.hearing.files import write_mp3, write_recording, write_truncated, write_video, write_wav_file
from tests.hearing.others import NoChanter, clipped, no_chanter, over_and_over, over_music, two_at_once
from tests.hearing.recording import RATE_HZ, TrueRecording
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.takes import learners_take

pytestmark = pytest.mark.same_everywhere


@pytest.fixture(scope="module")
def dry() -> TrueRecording:
    """A short recording of our practice voice."""
    return sounding(learners_take(4, 3.0), SoundSource.PRACTICE_VOICE, 1)


@pytest.mark.parametrize("kind", NoChanter)
def test_each_sound_is_as_long_and_loud_as_asked_for(kind: NoChanter) -> None:
    """Mono, its greatest sample 0.5, and silence is silent."""
    samples = no_chanter(kind, 2.0)
    assert samples.shape == (2 * RATE_HZ,)
    assert samples.dtype == np.float32
    assert np.max(np.abs(samples)) == pytest.approx(0.0 if kind is NoChanter.SILENCE else 0.5, abs=1e-6)


def test_mixtures_hold_both(dry: TrueRecording) -> None:
    """Two chanters are the half of each; music changes a recording; what is clipped is at full scale."""
    other = sounding(learners_take(1, 3.0), SoundSource.BORE, 2)
    both = two_at_once(dry, other).samples
    np.testing.assert_allclose(both, 0.5 * (dry.samples + other.samples)[: len(both)], atol=1e-6)
    assert np.corrcoef(over_music(dry).samples, dry.samples)[0, 1] == pytest.approx(0.95, abs=0.04)  # -10 dB
    assert np.mean(np.abs(clipped(dry).samples) == 1.0) > 0.05


@pytest.mark.parametrize("bits", [8, 16, 24, 32])
def test_a_file_of_any_width_holds_the_samples(dry: TrueRecording, tmp_path: Path, bits: int) -> None:
    """Read by FFmpeg's libraries, each sample is within one step of its width."""
    path = tmp_path / "take.wav"
    write_recording(path, dry, bits=bits)
    np.testing.assert_allclose(read_sound(path)[:, 0], dry.samples, atol=2.0 ** (1 - bits) + 1e-7)


def test_a_truncated_file_says_more_than_it_has(dry: TrueRecording, tmp_path: Path) -> None:
    """Its header counts all samples, and six tenths of them are there."""
    path = tmp_path / "cut.wav"
    write_truncated(path, dry)
    with wave.open(str(path)) as file:
        assert file.getnframes() == len(dry.samples)
        assert len(file.readframes(len(dry.samples))) // 2 == pytest.approx(0.6 * len(dry.samples), rel=0.001)


def test_an_hour_is_made_block_by_block(dry: TrueRecording, tmp_path: Path) -> None:
    """All blocks together are an hour, and of a file of some of them each sample is there."""
    assert sum(len(block) for block in over_and_over(dry)) == 3600 * RATE_HZ
    path = tmp_path / "long.wav"
    write_wav_file(path, islice(over_and_over(dry), 3), RATE_HZ)
    with wave.open(str(path)) as file:
        assert file.getnframes() == 3 * len(dry.samples)


@pytest.mark.parametrize(("write", "name"), [(write_mp3, "take.mp3"), (write_video, "take.mp4")])
def test_compressed_sound_is_in_time(dry: TrueRecording, tmp_path: Path, write: object, name: str) -> None:
    """What FFmpeg's libraries read back is the recording, not moved by a sample."""
    assert callable(write)
    write(tmp_path / name, dry)
    heard = read_sound(tmp_path / name)[: len(dry.samples), 0]
    assert np.corrcoef(heard, dry.samples[: len(heard)])[0, 1] > 0.99
