"""A film read again: its pictures show what sounds, when it sounds."""

from __future__ import annotations

import resource
import struct
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import av
import numpy as np
import pytest

from companion.film.scene import END_S, STILL_S
from companion.film.shooting import FRAMES_PER_S, SAMPLES_PER_FRAME, Camera, write_film
from companion.film.tune_scene import TuneScene
from companion.schedule.build import build_schedule
from companion.schedule.events import Event, EventKind, Schedule
from companion.sound.files.sound_file import write_sound
from companion.sound.pitch import pitch_table
from companion.sound.renderer import Renderer
from companion.sound.settings import SAMPLE_RATE_HZ
from companion.sound.voices import CHANTERS
from companion.window.core.display import Display
from fingering.errors import UserError
from fingering.holes import Finger, HoleState
from tests.companion.film.filming import (
    ALONE,
    QUICK,
    SIZE,
    Filmed,
    drawn,
    filmed,
    holes,
    middle_of,
    small_tune,
)
from tests.companion.media.decoded import decoded_sound, lag_s
from tests.companion.sound.hearing import change_s

pytestmark = pytest.mark.filterwarnings("error")

TOLD_WITHIN_S = 0.020
"""Hardly more than a picture lasts. Viewers notice 45 ms of sound too early (ITU-R BT.1359, from memory)."""

FAITHFUL = 12.0
"""By how much of 255 pixels may differ from those drawn, in the middle: H.264 and VP9 keep half of the colours' pixels
(measured: 1 to 2)."""

CODECS = {"mp4": ("h264", "aac"), "webm": ("vp9", "opus")}


@pytest.fixture(scope="module")
def films(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Filmed]:
    """The small tune as a film of each kind."""
    return {kind: filmed(tmp_path_factory.mktemp("film") / f"x.{kind}") for kind in CODECS}


@pytest.fixture(params=list(CODECS))
def film(request: pytest.FixtureRequest, films: dict[str, Filmed]) -> Filmed:
    """A film of each kind."""
    return films[request.param]


@pytest.fixture(scope="module")
def schedule() -> Schedule:
    """The schedule of the tune that is filmed."""
    return build_schedule(small_tune(), QUICK)


def sounding(schedule: Schedule) -> Iterator[Event]:
    """What sounds: melody notes and gracenotes."""
    return (event for event in schedule.events if event.kind is not EventKind.REST)


def state_of(closed: tuple[bool, ...]) -> HoleState:
    """The hole state with these holes closed, thumb first."""
    return HoleState.of_closed(finger for finger, each in zip(Finger, closed, strict=True) if each)


def film_s(film: Filmed, tune_s: float) -> float:
    """The moment of the film at which a moment of the tune is heard."""
    return tune_s - film.scene.tune_s(0.0)


def test_it_is_what_every_player_takes(film: Filmed) -> None:
    """Size, pixels, pace, codecs, colours, and the title."""
    with av.open(str(film.path)) as file:
        pictures, sound = file.streams.video[0], file.streams.audio[0]
        context = pictures.codec_context
        names = (context.name, sound.codec_context.name)
        assert names == CODECS[film.path.suffix[1:]]
        assert (pictures.width, pictures.height, context.pix_fmt) == (*SIZE, "yuv420p")
        assert pictures.average_rate == FRAMES_PER_S
        assert (context.colorspace, context.color_range) == (1, 1)  # BT.709, limited: ITU-T H.273
        assert sound.rate == SAMPLE_RATE_HZ
        assert file.metadata["title"] == "Test"


def test_pictures_come_evenly_and_last_as_long_as_the_sound(film: Filmed) -> None:
    """From 0 on, a sixtieth of a second each, to the end that the scene has."""
    even = np.arange(len(film.times_s)) / FRAMES_PER_S
    assert np.abs(np.array(film.times_s) - even).max() < 0.0006  # WebM counts whole milliseconds
    assert 0.0 <= len(film.times_s) / FRAMES_PER_S - film.scene.length_s < 1.0 / FRAMES_PER_S
    sound = decoded_sound(film.path)
    assert abs(sound.starts_s) < 0.001
    rest = len(sound.samples) - len(film.times_s) * SAMPLES_PER_FRAME
    assert 0 <= rest < 1024  # the last of an encoder's blocks: AAC has 1,024 samples in one, ISO/IEC 14496-3


def test_each_note_shows_its_hole_state(film: Filmed, schedule: Schedule) -> None:
    """The picture in the middle of each melody note and gracenote, by how light each hole is."""
    light, seen = film.light, 0
    for event in sounding(schedule):
        rank = film.at(film_s(film, (event.start_s + event.end_s) / 2.0))
        closed = light.closed_in(film.pictures[rank], holes(film.scene.picture(middle_of(rank))))
        assert state_of(closed) == event.state
        seen += 1
    assert seen == 12


def test_pictures_are_those_of_the_window(film: Filmed) -> None:
    """As a still picture draws them, but for what is lost in encoding."""
    for rank in range(0, len(film.pictures), 40):
        there = drawn(film.camera, film.scene.picture(middle_of(rank))).astype(np.int16)
        away = np.abs(film.pictures[rank] - there)
        assert float(away.mean()) < 2.0
        assert float(np.percentile(away, 99.0)) < 3 * FAITHFUL


def hz(event: Event) -> float:
    """The pitch of an event."""
    ratio = pitch_table(ALONE.tuning).ratios[event.state]
    return float(ALONE.low_a_hz * CHANTERS[ALONE.voice].octave * ratio)


def test_what_sounds_is_seen_within_20_ms(film: Filmed, schedule: Schedule) -> None:
    """For each change of note: when it is heard in the decoded sound, and which picture is the first that shows it."""
    sound, light = decoded_sound(film.path), film.light
    mono = sound.samples[:, 0]
    told = 0
    for old, new in pairwise(sounding(schedule)):
        begins_s = film_s(film, new.start_s)
        heard_s = sound.starts_s + change_s(mono, begins_s - sound.starts_s, hz(old), hz(new))
        first = film.at(film_s(film, (old.start_s + old.end_s) / 2.0))
        closed = (
            light.closed_in(film.pictures[rank], holes(film.scene.picture(middle_of(rank))))
            for rank in range(first, film.at(begins_s) + 4)
        )
        seen_s = film.times_s[first + next(i for i, each in enumerate(closed) if state_of(each) == new.state)]
        assert abs(heard_s - begins_s) < 0.003
        assert abs(seen_s - heard_s) < TOLD_WITHIN_S
        told += 1
    assert told == 11


def test_it_sounds_as_a_sound_file_does(film: Filmed, tmp_path: Path) -> None:
    """To a sample as late as it should be, whatever the encoder put before it; and it ends in silence, not cut off."""
    write_sound(tmp_path / "x.flac", Renderer(build_schedule(small_tune(), QUICK), ALONE))
    plain = decoded_sound(tmp_path / "x.flac").samples[:, 0]
    sound = decoded_sound(film.path)
    begins = round((film_s(film, 0.0) - sound.starts_s) * SAMPLE_RATE_HZ)
    assert abs(lag_s(sound.samples[begins:, 0], plain)) < 0.001
    assert np.abs(sound.samples[: begins - 2 * SAMPLES_PER_FRAME]).max() < 0.001
    assert np.abs(sound.samples[-SAMPLE_RATE_HZ:]).max() < 0.001


def test_it_begins_and_ends_in_calm(film: Filmed) -> None:
    """A second before anything moves, and after the last note until the end, every picture is the same."""
    still = [film.scene.picture(at_s) for at_s in (0.0, STILL_S / 2, STILL_S - 0.01)]
    assert still[0] == still[1] == still[2]
    assert film.scene.picture(STILL_S + 0.5) != still[0]
    length_s = film.scene.length_s
    assert film.scene.picture(length_s - END_S + 0.01) == film.scene.picture(length_s)


@pytest.mark.parametrize("kind", list(CODECS))
def test_a_disk_that_is_full_leaves_nothing(kind: str, tmp_path: Path) -> None:
    """As a limit on the size of files stands for it here: one line, and the old film stays."""
    path = tmp_path / f"x.{kind}"
    path.write_bytes(b"an older film")
    camera = Camera(SIZE, Display())
    scene = TuneScene(small_tune(), QUICK, ALONE, camera.canvas)
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (4_000, before[1]))
    try:
        with pytest.raises(UserError, match="file too large"):
            write_film(path, scene, camera, force=True)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
    assert {each.name: each.read_bytes() for each in tmp_path.iterdir()} == {path.name: b"an older film"}


def boxes(data: bytes, path: str) -> Iterator[bytes]:
    """Yield the contents of the boxes at a path like "moov/trak", ISO/IEC 14496-12."""
    name, _, rest = path.partition("/")
    at = 0
    while at + 8 <= len(data):
        size = struct.unpack(">I", data[at : at + 4])[0]
        if data[at + 4 : at + 8] == name.encode():
            inside = data[at + 8 : at + size]
            yield from boxes(inside, rest) if rest else [inside]
        at += size


def test_an_mp4_begins_with_its_index_and_leaves_the_encoders_delay_out(films: dict[str, Filmed]) -> None:
    """So that a browser plays it while it loads, and sound and pictures begin together in every player."""
    data = films["mp4"].path.read_bytes()
    assert data.index(b"moov") < data.index(b"mdat")
    edits = [struct.unpack(">Ii", edit[8:16]) for edit in boxes(data, "moov/trak/edts/elst")]
    # No picture is kept back; FFmpeg's AAC encoder puts 1,024 samples before the first.
    assert [media_time for _, media_time in edits] == [0, 1024]
