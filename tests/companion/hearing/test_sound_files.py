"""Recordings as files of every kind, and what is none."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
import soundfile

from companion.hearing.files import sound_file
from companion.hearing.files.sound_file import open_sound
from companion.hearing.hear import Samples
from fingering.errors import UserError
from tests.hearing.conditions.codec import write_sound
from tests.referees import require_module

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


@pytest.mark.parametrize(("name", "kept"), [("cut.wav", 0.5), ("cut.flac", 0.5), ("cut.flac", 0.9)])
def test_a_file_that_ends_too_soon_is_read_as_far_as_it_goes(tmp_path: Path, name: str, kept: float) -> None:
    """A recorder that was switched off leaves one, and it is one while it is still being copied."""
    path = tmp_path / name
    soundfile.write(path, np.tile(sine(), 8), RATE_HZ, "PCM_16")
    whole = path.read_bytes()
    path.write_bytes(whole[: round(kept * len(whole))])
    found = samples_of(path)
    assert kept - 0.02 < len(found) / (8 * len(sine())) <= kept + 0.02
    assert np.abs(found - np.tile(sine(), 8)[: len(found)]).max() < 1e-4


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


def test_a_recorder_that_was_cut_off_leaves_no_length(tmp_path: Path) -> None:
    """A WAV file whose header says that it holds nothing, or 4 GB, is read as far as it goes."""
    path = tmp_path / "cut.wav"
    soundfile.write(path, sine(), RATE_HZ, "PCM_16")
    whole = path.read_bytes()
    at = whole.index(b"data") + 4
    for told in (b"\0\0\0\0", b"\xff\xff\xff\xff"):
        path.write_bytes(whole[:at] + told + whole[at + 4 :])
        assert np.abs(samples_of(path) - sine()).max() < 1e-4


@pytest.mark.parametrize(
    ("at", "value"),
    [(20, b"\x0f\x27"), (22, b"\0\0"), (24, b"\0\0\0\0"), (24, b"\1\0\0\0"), (24, b"\x80\x96\x98\0"), (34, b"\0\0")],
)
def test_headers_that_make_no_sense_are_refused_in_one_line(tmp_path: Path, at: int, value: bytes) -> None:
    """A kind that nobody knows, no channel, no rate, 1 Hz, 10 MHz, samples of no bits."""
    path = tmp_path / "odd.wav"
    soundfile.write(path, sine(), RATE_HZ, "PCM_16")
    whole = path.read_bytes()
    path.write_bytes(whole[:at] + value + whole[at + len(value) :])
    with pytest.raises(UserError) as caught:
        samples_of(path)
    assert "\n" not in str(caught.value)


def test_of_several_sounds_the_loudest_is_read(tmp_path: Path) -> None:
    """A film whose first track is silent is heard by its second."""
    av = require_module("av")
    path = tmp_path / "film.mkv"
    with av.open(str(path), "w") as file:
        streams = [file.add_stream("flac", rate=RATE_HZ, layout="mono") for _ in range(2)]
        for stream, samples in zip(streams, (0.0 * sine(), sine()), strict=True):
            whole = np.round(samples * 32_767).astype(np.int16).reshape(1, -1)
            frame = av.AudioFrame.from_ndarray(whole, format="s16", layout="mono")
            frame.sample_rate, frame.pts = RATE_HZ, 0
            file.mux(stream.encode(frame))
            file.mux(stream.encode(None))
    assert np.abs(samples_of(path)).max() == pytest.approx(0.5, abs=0.01)


@pytest.mark.parametrize(
    "words",
    [
        "#EXTM3U\n#EXTINF:2,\nother.wav\n#EXT-X-ENDLIST\n",
        "ffconcat version 1.0\nfile other.wav\n",
        "v=0\no=- 0 0 IN IP4 0.0.0.0\ns=x\nm=audio 5004 RTP/AVP 0\n",
    ],
)
def test_a_list_of_files_opens_none_of_them(tmp_path: Path, words: str) -> None:
    """Nor any address: a sound is what the file itself holds."""
    soundfile.write(tmp_path / "other.wav", sine(), RATE_HZ)
    path = tmp_path / "list.mp3"
    path.write_text(words)
    with pytest.raises(UserError, match="no sound file"):
        open_sound(path)


def test_a_sound_longer_than_it_told_ends_in_one_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """However long a file says that it is, no more than four hours of it are gone through: here, a second."""
    path = tmp_path / "long.wav"
    soundfile.write(path, sine(), RATE_HZ)
    sound = open_sound(path)
    monkeypatch.setattr(sound_file, "LONGEST_S", 1.0)
    with pytest.raises(UserError, match="longer than four hours"):
        list(sound.blocks())


def test_a_file_that_is_gone_when_it_is_heard_is_told(tmp_path: Path) -> None:
    """It is gone through twice, and may be deleted or changed between."""
    path = tmp_path / "gone.wav"
    soundfile.write(path, sine(), RATE_HZ)
    sound = open_sound(path)
    list(sound.blocks())
    path.unlink()
    with pytest.raises(UserError, match="taken away"):
        list(sound.blocks())


def test_many_channels_are_read_in_small_blocks(tmp_path: Path) -> None:
    """However many there are, a block is some two MB."""
    path = tmp_path / "many.wav"
    soundfile.write(path, np.zeros((20_000, 64), np.float32), RATE_HZ)
    blocks = list(open_sound(path).blocks())
    assert sum(map(len, blocks)) == 20_000
    assert max(each.size for each in blocks) <= sound_file.BLOCK_SAMPLES


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
