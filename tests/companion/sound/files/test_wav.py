"""WAV files: what a tune sounds like when it is read back and listened to."""

from __future__ import annotations

import wave
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from companion.schedule.build import build_schedule
from companion.schedule.events import Event, EventKind, Schedule
from companion.schedule.timing import Gracing, Timing
from companion.score.abc import read_abc
from companion.score.bundled import bundled_files
from companion.score.model import Tune
from companion.sound.files.wav import LONGEST_FRAMES, write_wav
from companion.sound.pitch import pitch_table
from companion.sound.renderer import Renderer
from companion.sound.settings import HALF_FADE, SAMPLE_RATE_HZ, SoundSettings, Voice
from companion.sound.voices import CHANTERS
from fingering.errors import UserError
from tests.companion.sound.hearing import cents, change_s, peak_hz
from tests.companion.tune_building import notes, tune

TUNES = [each for file in bundled_files() for each in read_abc(file).tunes]
CHANTER_ALONE = SoundSettings(drones_level=0.0)
FULL_SCALE = 32_768
PITCH_NEEDS_S = 0.08
CHANGE_NEEDS_S = 0.039
# Within 19 ms either side a smaller step cannot be told to 2 ms; a high G gracenote over F is one.
CHANGE_NEEDS_CENTS = 75.0


def _written(path: Path, schedule: Schedule, sound: SoundSettings) -> NDArray[np.int16]:
    """Render into a file and read it back: shape (frames, 2), as they stand there, FULL_SCALE for 1."""
    write_wav(path, Renderer(schedule, sound), force=True)
    with wave.open(str(path)) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (2, 2, SAMPLE_RATE_HZ)
        data = file.readframes(file.getnframes())
    return np.frombuffer(data, "<i2").reshape(-1, 2)


def _hz(event: Event, sound: SoundSettings) -> float:
    return sound.low_a_hz * CHANTERS[sound.voice].octave * pitch_table(sound.tuning).ratios[event.state]


def _held(schedule: Schedule) -> Iterator[Event]:
    """The melody notes that are long enough for an ear to find their pitch to a cent or so."""
    for event in schedule.events:
        if event.kind is EventKind.MELODY and event.end_s - event.start_s >= PITCH_NEEDS_S:
            yield event


def _pitch_errors(samples: NDArray[np.int16], schedule: Schedule, sound: SoundSettings) -> list[float]:
    errors = []
    for event in _held(schedule):
        begin, end = (round(at_s * SAMPLE_RATE_HZ) for at_s in (event.start_s, event.end_s))
        middle = samples[begin + 2 * HALF_FADE : end - 2 * HALF_FADE, 0]
        errors.append(abs(cents(peak_hz(middle[:6_000], _hz(event, sound)), _hz(event, sound))))
    return errors


def _changes(schedule: Schedule, sound: SoundSettings) -> Iterator[tuple[Event, Event]]:
    """Neighbours far enough apart in pitch and both long enough to be told apart."""
    for old, new in pairwise(schedule.events):
        shortest_s = min(old.end_s - old.start_s, new.end_s - new.start_s)
        step_cents = abs(cents(_hz(new, sound), _hz(old, sound)))
        sounding = EventKind.REST not in (old.kind, new.kind)
        if sounding and step_cents >= CHANGE_NEEDS_CENTS and shortest_s >= CHANGE_NEEDS_S:
            yield old, new


def _onset_errors_s(samples: NDArray[np.int16], schedule: Schedule, sound: SoundSettings) -> list[float]:
    return [
        abs(change_s(samples[:, 0], new.start_s, _hz(old, sound), _hz(new, sound)) - new.start_s)
        for old, new in _changes(schedule, sound)
        if new.start_s > PITCH_NEEDS_S
    ]


def _steepest(samples: NDArray[np.int16]) -> int:
    # A second at a time stays in the processor's cache: ten times as fast as minutes at once.
    blocks = (
        samples[at : at + SAMPLE_RATE_HZ + 1].astype(np.int32) for at in range(0, len(samples) - 1, SAMPLE_RATE_HZ)
    )
    return max(int(np.abs(block[1:] - block[:-1]).max()) for block in blocks)


@pytest.fixture(scope="module")
def steepest_held(tmp_path_factory: pytest.TempPathFactory) -> int:
    """The greatest step between samples while the chanter alone holds any of its nine notes."""
    path = tmp_path_factory.mktemp("held") / "note.wav"
    held = (_written(path, build_schedule(tune(notes(letter)), Timing()), CHANTER_ALONE) for letter in "GABcdefga")
    return max(_steepest(samples[4_000:16_000]) for samples in held)


def test_there_are_tunes_to_listen_to() -> None:
    """Else the tests below would say nothing."""
    assert len(TUNES) >= 8


@pytest.mark.same_everywhere
@pytest.mark.parametrize("bundled", TUNES, ids=lambda each: each.title)
def test_every_bundled_tune_sounds_as_it_is_written(bundled: Tune, tmp_path: Path, steepest_held: int) -> None:
    """Notes within 3 cents, changes within 2 ms, and no step between samples that a held note does not make."""
    schedule = build_schedule(bundled, Timing())
    samples = _written(tmp_path / "tune.wav", schedule, CHANTER_ALONE)
    assert len(samples) >= round(schedule.duration_s * SAMPLE_RATE_HZ)
    errors, delays_s = (heard(samples, schedule, CHANTER_ALONE) for heard in (_pitch_errors, _onset_errors_s))
    assert errors
    assert max(errors) < 3.0
    assert delays_s
    assert max(delays_s) < 0.002
    assert _steepest(samples) < 1.05 * steepest_held


@pytest.mark.same_everywhere
@pytest.mark.parametrize("bundled", TUNES, ids=lambda each: each.title)
def test_every_bundled_tune_stands_on_its_drones_and_never_clips(bundled: Tune, tmp_path: Path) -> None:
    """All voices on: drones at 1/2 and 1/4 of low A, no sample at full scale."""
    sound = SoundSettings(voice=Voice.PIPE, metronome_level=0.2)
    samples = _written(tmp_path / "tune.wav", build_schedule(bundled, Timing()), sound)
    assert 0.2 < max(int(samples.max()), -int(samples.min())) / FULL_SCALE < 0.99
    stretch = samples[SAMPLE_RATE_HZ : 9 * SAMPLE_RATE_HZ].sum(axis=1, dtype=np.float64)
    for drone_hz in (sound.low_a_hz / 2, sound.low_a_hz / 4):
        assert abs(cents(peak_hz(stretch, drone_hz), drone_hz)) < 3.0


@pytest.mark.parametrize("low_a_hz", [440.0, 473.5, 490.0])
@pytest.mark.parametrize("voice", list(Voice))
def test_all_nine_notes_are_in_tune_at_any_pitch(voice: Voice, low_a_hz: float, tmp_path: Path) -> None:
    """Up and down the scale, both voices, within 3 cents and 2 ms."""
    sound = replace(CHANTER_ALONE, voice=voice, low_a_hz=low_a_hz)
    schedule = build_schedule(tune(notes("G A B c d e f g a g f e d c B A G")), Timing())
    samples = _written(tmp_path / "scale.wav", schedule, sound)
    assert max(_pitch_errors(samples, schedule, sound)) < 3.0
    assert max(_onset_errors_s(samples, schedule, sound)) < 0.002


@pytest.mark.parametrize("timing", [Timing(slow_down=5.0), Timing(slow_down=5.0, gracing=Gracing.CRISP)])
def test_slowed_down_the_gracenotes_are_where_the_schedule_has_them(timing: Timing, tmp_path: Path) -> None:
    """Stretched or crisp, within 2 ms."""
    schedule = build_schedule(tune(notes("A GdGe:A gcd:c Gdc:d gef:e ag:a")), timing)
    samples = _written(tmp_path / "slow.wav", schedule, CHANTER_ALONE)
    delays_s = _onset_errors_s(samples, schedule, CHANTER_ALONE)
    assert len(delays_s) > 12
    assert max(delays_s) < 0.002


def test_progress_is_told_up_to_the_end(tmp_path: Path) -> None:
    """Shares grow, the last is 1."""
    told: list[float] = []
    schedule = build_schedule(tune(notes("A B c d")), Timing())
    write_wav(tmp_path / "x.wav", Renderer(schedule, CHANTER_ALONE), told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0


def test_a_sound_too_long_for_the_format_is_the_users_error(tmp_path: Path) -> None:
    """A WAV file counts its bytes in 32 bits: RIFF, Microsoft and IBM 1991, from memory."""
    bar = notes("A A A A")
    many = tune(bar, order=(0,) * 400)
    schedule = build_schedule(many, Timing(beats_per_minute=10.0, slow_down=32.0))
    assert schedule.duration_s * SAMPLE_RATE_HZ > LONGEST_FRAMES
    with pytest.raises(UserError, match="too long for a WAV file"):
        write_wav(tmp_path / "x.wav", Renderer(schedule, CHANTER_ALONE))


def test_a_folder_that_is_not_there_is_the_users_error(tmp_path: Path) -> None:
    """The error names the file."""
    missing = tmp_path / "nowhere" / "x.wav"
    with pytest.raises(UserError, match="there is no folder") as caught:
        write_wav(missing, Renderer(build_schedule(tune(notes("A")), Timing()), CHANTER_ALONE))
    assert caught.value.where == str(missing)
