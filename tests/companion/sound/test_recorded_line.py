"""A recording in the place of a schedule's chanter: any stretch of it, in its place, without drones."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

from companion.hearing.files.flac_file import FlacFile
from companion.hearing.files.sound_file import mono_blocks_from, open_sound
from companion.schedule.events import Schedule
from companion.schedule.recorded import recorded_schedule
from companion.schedule.spans import Span
from companion.sound.recorded_line import RecordedLine, RecordedSound
from companion.sound.renderer import Renderer
from companion.sound.settings import SAMPLE_RATE_HZ, SoundSettings
from companion.sound.sounding_player import SoundingPlayer
from fingering.errors import UserError
from tests.companion.sound.loudspeaker import open_loudspeaker
from tests.hearing.conditions.codec import write_sound

LENGTH_S = 4.0
LOUD = SoundSettings(chanter_level=1.0, drones_level=1.0)


def _samples() -> NDArray[np.float32]:
    """A tone whose pitch rises all the time, so that no moment is like another."""
    at_s = np.arange(round(LENGTH_S * SAMPLE_RATE_HZ)) / SAMPLE_RATE_HZ
    return (0.5 * np.sin(2 * np.pi * (300.0 * at_s + 40.0 * at_s**2))).astype(np.float32)


@pytest.fixture(scope="module")
def wav(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """That sound as a file."""
    path = tmp_path_factory.mktemp("recorded") / "rising.wav"
    soundfile.write(path, _samples(), SAMPLE_RATE_HZ, "FLOAT")
    return path


def _schedule(slow_down: float) -> Schedule:
    return recorded_schedule((), (), 0.0, LENGTH_S, slow_down)


def _sound(path: Path, slow_down: float = 1.0, starts_s: float = 0.0) -> RecordedSound:
    return RecordedSound(partial(mono_blocks_from, path), SAMPLE_RATE_HZ, starts_s, slow_down)


def _line(path: Path, slow_down: float = 1.0, starts_s: float = 0.0) -> RecordedLine:
    return RecordedLine(_schedule(slow_down), _sound(path, slow_down, starts_s))


def _stretch(line: RecordedLine, first: int, frames: int) -> NDArray[np.float32]:
    out = np.zeros(frames, np.float32)
    line.add_to(out, first)
    return out


def test_at_full_speed_every_stretch_is_the_recording(wav: Path) -> None:
    """Forwards, backwards and beyond its ends, where there is silence."""
    line, samples = _line(wav), _samples()
    for first in (0, 1_000, 150_000, 40_000, 151_024, 2_000):
        assert np.array_equal(_stretch(line, first, 1_024), samples[first : first + 1_024])
    assert not _stretch(line, -2_000, 1_000).any()
    assert np.array_equal(_stretch(line, -100, 300)[100:], samples[:200])
    assert not _stretch(line, len(samples), 500).any()


def test_no_file_sounds_louder_than_full_scale(tmp_path: Path) -> None:
    """Floating-point samples may be any number, or none, and would come round to the other end of 16 bits."""
    loud = np.tile(np.array([5.0, -40.0, np.nan, np.inf, 0.25], np.float32), 2_000)
    soundfile.write(tmp_path / "loud.wav", loud, SAMPLE_RATE_HZ, "FLOAT")
    heard = _stretch(_line(tmp_path / "loud.wav"), 0, 1_000)
    assert np.array_equal(heard[:5], np.array([1.0, -1.0, 0.0, 1.0, 0.25], np.float32))


def test_it_begins_where_it_lies_beside_the_schedule(wav: Path) -> None:
    """Also before the recording does."""
    samples = _samples()
    assert np.array_equal(_stretch(_line(wav, starts_s=1.0), 0, 500), samples[48_000:48_500])
    late = _stretch(_line(wav, starts_s=-0.5), 0, 48_000)
    assert not late[:24_000].any()
    assert np.array_equal(late[24_000:], samples[:24_000])


@pytest.mark.parametrize("slow_down", [2.0, 4.0])
def test_slowed_a_stretch_stands_where_it_belongs(wav: Path, slow_down: float) -> None:
    """From wherever it is begun: the pitch at a moment of it is the pitch at that moment of the recording."""
    line = _line(wav, slow_down)
    for at_s in (0.5, 3.0, 1.5):
        part = _stretch(line, round(at_s * slow_down * SAMPLE_RATE_HZ), 9_600)
        crossings = np.flatnonzero((part[:-1] < 0.0) & (part[1:] >= 0.0))
        hz = SAMPLE_RATE_HZ * (len(crossings) - 1) / (crossings[-1] - crossings[0])
        middle_s = at_s + 0.1 / slow_down
        assert hz == pytest.approx(300.0 + 80.0 * middle_s, rel=0.006)


def test_what_cannot_be_read_is_silence(wav: Path) -> None:
    """The program goes on."""

    def broken(at_s: float) -> Iterator[NDArray[np.float32]]:
        yield np.ones(1_000, np.float32)
        raise UserError("it is gone", "put it back")

    line = RecordedLine(_schedule(1.0), RecordedSound(broken, SAMPLE_RATE_HZ))
    assert _stretch(line, 0, 3_000)[:500].all()
    assert not _stretch(line, 5_000, 1_000).any()


def test_neither_drones_nor_the_chanter_sound_beside_it(wav: Path) -> None:
    """What is heard is the recording alone, as loud as the chanter would be."""
    made = Renderer(_schedule(1.0), LOUD, recorded=_sound(wav)).render(4_800)
    alone = Renderer(_schedule(1.0), replace(LOUD, drones_level=0.0)).render(4_800)
    assert not alone.any()
    assert np.array_equal(made[:, 0], made[:, 1])
    samples = _samples()[:4_800]
    assert np.allclose(made[:, 0], samples * (made[1_000, 0] / samples[1_000]), atol=1e-6)
    assert np.abs(made).max() <= 0.55  # `mix.TUNE_CEILING`


@pytest.mark.parametrize("block", [1_024, 24_000])
def test_a_stretch_is_repeated(wav: Path, block: int) -> None:
    """Each round is the same stretch, without a click where it begins anew."""
    renderer = Renderer(_schedule(2.0), LOUD, recorded=_sound(wav, 2.0))
    renderer.set_loop(Span(1.0, 1.5))
    renderer.seek(1.0)
    made = np.concatenate([renderer.render(block)[:, 0] for _ in range(4 * 24_000 // block)])
    assert np.allclose(made[24_500:47_000], made[48_500:71_000], atol=1e-6)
    steepest = 0.5 * 2 * np.pi * (300.0 + 80.0 * 0.75) / SAMPLE_RATE_HZ  # of the tone itself
    assert np.abs(np.diff(made)).max() < 2.0 * steepest


@pytest.mark.parametrize("ending", [".flac", ".mp3", ".m4a"])
def test_a_file_of_any_kind_is_read_from_any_place(tmp_path: Path, ending: str) -> None:
    """It holds there what it holds when it is read from its beginning."""
    path = tmp_path / f"a{ending}"
    match ending:
        case ".flac":
            soundfile.write(path, _samples(), SAMPLE_RATE_HZ)
        case ".mp3":
            write_sound(path, _samples(), SAMPLE_RATE_HZ, "mp3", "libmp3lame", kbit_s=128)
        case _:
            write_sound(path, _samples(), SAMPLE_RATE_HZ, "mp4", "aac", kbit_s=128)
    whole = np.concatenate([each if each.ndim == 1 else each.mean(axis=1) for each in open_sound(path).blocks()])
    for at_s in (0.0, 1.234, 2.5):
        part = np.concatenate([*mono_blocks_from(path, at_s)])
        there = whole[round(at_s * SAMPLE_RATE_HZ) :]
        assert len(part) == len(there)
        assert np.allclose(part, there, atol=1e-5)
    assert not [*mono_blocks_from(path, 60.0)]


def test_a_file_whose_writer_was_ended_is_read_from_any_place(tmp_path: Path) -> None:
    """It has no length, and its last block is cut."""
    path = tmp_path / "a.flac"
    file = FlacFile(path, SAMPLE_RATE_HZ)
    file.write(_samples())
    torn = tmp_path / "torn.flac"
    torn.write_bytes(path.read_bytes()[:-1_000])
    file.close()
    whole = np.concatenate([*mono_blocks_from(torn, 0.0)])
    assert len(whole) > 3 * SAMPLE_RATE_HZ
    part = np.concatenate([*mono_blocks_from(torn, 1.234)])
    assert np.array_equal(part, whole[round(1.234 * SAMPLE_RATE_HZ) :])
    assert not [*mono_blocks_from(torn, 60.0)]


def test_a_player_plays_it(wav: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Through a real mixer: the pitch of the recording where it stands, not that of any note."""
    with open_loudspeaker(tmp_path, monkeypatch) as speaker:
        player = SoundingPlayer(speaker.device, SoundSettings())
        player.load(_schedule(4.0), 8.0, _sound(wav, 4.0))
        player.play()
        speaker.comes_to(480.0, within_cents=8.0)  # at 2.25 s
        player.set_sound(SoundSettings(chanter_level=0.0))
        speaker.falls_silent()
        player.close()
        assert player.trouble == ""
