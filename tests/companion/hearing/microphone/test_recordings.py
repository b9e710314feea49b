"""What is kept of a microphone while it is recorded, whatever ends: real sound, real files, real kills."""

from __future__ import annotations

import os
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from companion.hearing.files.sound_file import open_sound
from companion.hearing.microphone import microphones as window_end
from companion.hearing.microphone.microphones import Microphones
from companion.hearing.microphone.source import MicrophoneSource, MicrophoneState
from tests.companion.hearing.microphone.room import (
    GIVES_UP_S,
    PERIOD,
    Player,
    is_alive,
    microphones,
    only_jack,
    opened,
    player,
    process_of,
    until,
)
from tests.companion.midi.jack import ROOT, jack_server
from tests.hearing.recording import RATE_HZ

pytestmark = pytest.mark.same_everywhere

LOST_AT_MOST_S = 1.0
RECORDED_S = 1.2
SMALL_DISK_BYTES = 40_000

WINDOW = """
import sys, time
from pathlib import Path
from companion.hearing.microphone.microphones import Microphones
from companion.hearing.microphone.source import MicrophoneState
from tests.companion.hearing.microphone.room import JACK_INPUTS, opened, process_of, until
each = Microphones()
source = opened(each)
source.begin_recording(Path(sys.argv[1]), time.perf_counter())
until(each, lambda: source.recording.begins_s is not None)
print(process_of(each), flush=True)
while True:
    each.refresh()
    time.sleep(0.01)
"""
"""A window that records, until it is killed."""


@pytest.fixture(scope="module")
def noise(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Player]:
    """Something that sounds for a minute, and so that no two seconds of it are alike."""
    folder = tmp_path_factory.mktemp("noise")
    with pytest.MonkeyPatch.context() as patch:
        only_jack(patch, folder)
        with jack_server(PERIOD), player() as playing:
            dice = np.random.default_rng(7)
            playing.play(dice.normal(0.0, 0.1, 60 * RATE_HZ).astype(np.float32), folder)
            yield playing


@pytest.fixture
def all_of_them(noise: Player) -> Iterator[Microphones]:
    """The microphones there are while it sounds."""
    with microphones() as each:
        yield each


def recording(all_of_them: Microphones, noise: Player, path: Path) -> tuple[MicrophoneSource, float]:
    """A microphone of which some more than a second is recorded, and when that was so."""
    source = opened(all_of_them)
    noise.connect()
    source.begin_recording(path, time.perf_counter())
    until(all_of_them, lambda: source.recording is not None and source.recording.begins_s is not None)
    assert source.recording is not None
    assert source.recording.begins_s is not None
    ends_s = source.recording.begins_s + RECORDED_S
    until(all_of_them, lambda: time.perf_counter() >= ends_s)
    return source, source.recording.begins_s


def length_s(path: Path) -> float:
    """How long a file sounds, by what can be read of it."""
    sound = open_sound(path)
    read = sum(len(block) for block in sound.blocks())
    assert read == sound.frames
    return read / sound.rate_hz


def test_a_kill_of_the_process_that_records_loses_less_than_a_second(
    all_of_them: Microphones, noise: Player, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The file has no length in its head then, and is read all the same; the microphone is soon there again."""
    monkeypatch.setattr(window_end, "STARTS_EVERY_S", 0.05)
    monkeypatch.setattr(window_end, "REFRESH_S", 0.05)
    source, begins_s = recording(all_of_them, noise, tmp_path / "take.flac")
    killed_s = time.perf_counter()
    os.kill(process_of(all_of_them), signal.SIGKILL)
    until(all_of_them, lambda: source.state is MicrophoneState.LOST)
    assert all_of_them.trouble.startswith("the sound system has failed; ")
    assert source.recording is not None
    assert source.recording.trouble == source.trouble == all_of_them.trouble
    assert killed_s - begins_s - LOST_AT_MOST_S < length_s(tmp_path / "take.flac") < killed_s - begins_s + 0.1
    until(all_of_them, lambda: source.state is MicrophoneState.WAITING)
    assert source.trouble == all_of_them.trouble == ""


def test_a_kill_of_the_window_closes_the_file_well(noise: Player, tmp_path: Path) -> None:
    """Its process ends with the orders, and what sounded up to then is kept, with its length in the head."""
    path = tmp_path / "take.flac"
    words = [sys.executable, "-c", WINDOW, str(path)]
    with subprocess.Popen(words, cwd=ROOT, stdout=subprocess.PIPE, text=True) as window:
        assert window.stdout is not None
        began_s = time.perf_counter()
        hears = int(window.stdout.readline())
        told_s = time.perf_counter()
        time.sleep(RECORDED_S)
        window.kill()
        killed_s = time.perf_counter()
    while is_alive(hears):
        assert time.perf_counter() < killed_s + GIVES_UP_S
        time.sleep(0.01)
    assert killed_s - told_s - LOST_AT_MOST_S < length_s(path) < time.perf_counter() - began_s
    assert total_samples(path) == round(length_s(path) * RATE_HZ)


def total_samples(path: Path) -> int:
    """The number of samples by the file's head: FLAC (RFC 9639), 8.2, its bits 108 to 143; 0 where it is not known."""
    data = path.read_bytes()[: 4 + 4 + 34]
    assert data[:4] == b"fLaC"
    return int.from_bytes(data[8 + 13 : 8 + 18], "big") & ((1 << 36) - 1)


def test_a_full_disk_ends_the_recording_alone(all_of_them: Microphones, noise: Player, tmp_path: Path) -> None:
    """In one line, at once; what fitted can be read, and the microphone is heard on."""
    source = opened(all_of_them)
    noise.connect()
    resource.prlimit(process_of(all_of_them), resource.RLIMIT_FSIZE, (SMALL_DISK_BYTES, SMALL_DISK_BYTES))
    path = tmp_path / "take.flac"
    source.begin_recording(path, time.perf_counter())
    until(all_of_them, lambda: source.recording is not None and source.recording.trouble != "")
    assert source.recording is not None
    assert source.recording.trouble.startswith(f"{path}: this recording cannot be written (")
    assert source.recording.trouble.endswith("; make room, or choose another folder")
    assert length_s(path) > 0.2
    heard = source.level_db
    until(all_of_them, lambda: source.level_db != heard)
    assert source.state is not MicrophoneState.LOST
    assert source.trouble == ""


def test_nothing_is_written_over(all_of_them: Microphones, noise: Player, tmp_path: Path) -> None:
    """A name that is taken, or in no folder, is one line; another recording can begin."""
    (tmp_path / "taken.flac").write_bytes(b"mine")
    source = opened(all_of_them)
    for path, why in ((tmp_path / "taken.flac", "there already"), (tmp_path / "no" / "take.flac", "no such file")):
        source.begin_recording(path, time.perf_counter())
        until(all_of_them, lambda: source.recording is not None and source.recording.trouble != "")
        assert source.recording is not None
        assert why in source.recording.trouble
    assert (tmp_path / "taken.flac").read_bytes() == b"mine"
    source.begin_recording(tmp_path / "free.flac", time.perf_counter())
    source.end_recording(time.perf_counter() + 0.3)
    until(all_of_them, lambda: source.recording is not None and source.recording.length_s is not None)
    assert source.recording is not None
    assert source.recording.trouble == ""
    assert length_s(tmp_path / "free.flac") == pytest.approx(0.3, abs=0.1)


def test_a_microphone_that_is_dropped_closes_its_recording(
    all_of_them: Microphones, noise: Player, tmp_path: Path
) -> None:
    """With its length, though nobody ended it."""
    source, _ = recording(all_of_them, noise, tmp_path / "take.flac")
    all_of_them.drop(source)
    until(all_of_them, lambda: total_samples(tmp_path / "take.flac") > 0)
    assert total_samples(tmp_path / "take.flac") > (RECORDED_S - LOST_AT_MOST_S) * RATE_HZ
