"""Encoding and decoding that is told to end, at whatever moment."""

from __future__ import annotations

import random
import signal
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from companion.files.signals import Terminated, signals_end_the_program
from companion.media.decoding import sound_blocks
from companion.media.encoding import film_file, sound_file
from companion.media.formats import FILM_FORMATS, SOUND_FORMATS, MediaFormat, format_of
from companion.sound.settings import SAMPLE_RATE_HZ

TRIES = 60
"""PyAV dropped 18 of a hundred signals that came while a frame was encoded (by measurement)."""

WITHIN_S = 0.0015
"""As long as the frames take that are encoded, about."""

NEVER = 500
BLOCK = (np.random.default_rng(1).normal(size=(800, 2)) * 3000).astype(np.int16)
SIZE = (64, 48)
PICTURE = np.zeros((SIZE[1], SIZE[0], 4), np.uint8)


def kind_of(name: str, formats: tuple[MediaFormat, ...]) -> MediaFormat:
    """The format that a name asks for."""
    kind = format_of(Path(name), formats)
    assert kind is not None
    return kind


def written_sound(path: Path, begun: Callable[[], None], most: int = NEVER) -> None:
    """Encode a sound block after block, until it is told to end."""
    with sound_file(path, kind_of(path.name, SOUND_FORMATS), SAMPLE_RATE_HZ, force=True) as track:
        track.add(BLOCK)
        begun()
        for _ in range(most):
            track.add(BLOCK)


def written_film(path: Path, begun: Callable[[], None]) -> None:
    """Encode pictures and sound, until it is told to end."""
    with film_file(path, kind_of(path.name, FILM_FORMATS), SAMPLE_RATE_HZ, SIZE, 60, force=True) as (pictures, sound):
        pictures.add(PICTURE)
        begun()
        for _ in range(NEVER):
            pictures.add(PICTURE)
            sound.add(BLOCK)


def read_sound(path: Path, begun: Callable[[], None]) -> None:
    """Decode a file again and again, until it is told to end."""
    begun()
    for _ in range(NEVER):
        for _ in sound_blocks(path):
            pass


@pytest.fixture
def told_soon() -> Iterator[Callable[[], None]]:
    """Has this process told to end within a moment, by a signal that comes amid whatever is done then."""
    rng = random.Random(1)

    def tell() -> None:
        signal.setitimer(signal.ITIMER_REAL, 1e-5 + WITHIN_S * rng.random())

    before = signal.signal(signal.SIGALRM, lambda *_: signal.raise_signal(signal.SIGTERM))
    yield tell
    signal.setitimer(signal.ITIMER_REAL, 0.0)
    signal.signal(signal.SIGALRM, before)


WORK = {"out.flac": written_sound, "out.mp4": written_film, "made.flac": read_sound}


@pytest.mark.skipif(not hasattr(signal, "SIGALRM"), reason="this system has no SIGALRM")
@pytest.mark.parametrize("name", WORK)
def test_a_signal_that_comes_amid_a_frame_ends_the_work(
    tmp_path: Path, told_soon: Callable[[], None], name: str
) -> None:
    """Also where it comes as PyAV makes an error of its own, which drops it without a word; nothing half written is
    left."""
    written_sound(tmp_path / "made.flac", lambda: None, most=50)
    for _ in range(TRIES):
        with pytest.raises(Terminated), signals_end_the_program():
            WORK[name](tmp_path / name, told_soon)
    assert [each.name for each in tmp_path.iterdir()] == ["made.flac"]
