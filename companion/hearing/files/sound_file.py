"""Opens a sound file as blocks of samples. The one module that loads soundfile (libsndfile), which reads WAV, FLAC, Ogg
and their like; MP3, all else, and films are read by PyAV in companion.media.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from companion.files.lines import one_line
from companion.files.reading import read_beginning
from companion.hearing.hear import SoundBlocks
from fingering.errors import UserError

BLOCK_SAMPLES = 1 << 19
"""How many samples are read at once, those of all channels together: two MB."""

LOWEST_RATE_HZ, HIGHEST_RATE_HZ = 8_000, 384_000
LONGEST_S = 4 * 3600.0
"""Rates that microphones record at; below 8 kHz too few harmonics are left. Longer than four hours is no lesson."""

BEGINNINGS = (b"RIFF", b"RIFX", b"RF64", b"riff", b"FORM", b".snd", b"caff", b"fLaC", b"OggS")
"""What the files begin with that libsndfile is given: in all others it looks for MP3, and prints what it
misses there."""

_CUT_IT = "cut it to what was played"


def open_sound(path: Path) -> SoundBlocks:
    """The sound of a file. Raises UserError for what is no sound file, or holds nothing.

    Its blocks raise UserError where it turns out to be longer than it told, or is gone when it is gone through again.
    """
    place = one_line(str(path))
    if not (beginning := read_beginning(path, 4)):
        raise UserError("this file is empty", "record again, and see that the file grows meanwhile", place)
    sound = _by_soundfile(path, beginning) or _by_media(path)
    if not LOWEST_RATE_HZ <= sound.rate_hz <= HIGHEST_RATE_HZ:
        what = f"this was recorded at {sound.rate_hz} samples a second"
        raise UserError(what, f"record at {LOWEST_RATE_HZ} or more, 44100 is usual", place)
    if sound.frames > LONGEST_S * sound.rate_hz:
        raise _too_long(place)
    return SoundBlocks(sound.rate_hz, lambda: _limited(sound, place), sound.frames)


def _limited(sound: SoundBlocks, place: str) -> Iterator[NDArray[np.float32]]:
    """The blocks of a sound as long as it is not too long, whatever its file told of its length."""
    left = LONGEST_S * sound.rate_hz
    for block in sound.blocks():
        left -= len(block)
        if left < 0:
            raise _too_long(place)
        yield block


def _too_long(place: str) -> UserError:
    return UserError("this recording is longer than four hours", _CUT_IT, place)


def _by_soundfile(path: Path, beginning: bytes) -> SoundBlocks | None:
    """A sound that libsndfile reads; None for another, and for one whose length it does not know."""
    if not beginning.startswith(BEGINNINGS):
        return None
    library = _library()
    try:
        with library.SoundFile(str(path)) as file:
            rate_hz, frames = int(file.samplerate), int(file.frames)
    except library.SoundFileError:
        return None
    return SoundBlocks(rate_hz, lambda: _blocks(library, path), frames) if frames > 0 else None


def _blocks(library: Any, path: Path) -> Iterator[NDArray[np.float32]]:
    """The samples that are there; a file that ends too soon is read as far as it goes."""
    try:
        file = library.SoundFile(str(path))
    except library.SoundFileError:  # it could be opened a moment ago
        remedy = "leave it where it is until all of it was heard"
        raise UserError("this file was taken away or changed while it was read", remedy, one_line(str(path))) from None
    with file:
        count = max(1, BLOCK_SAMPLES // file.channels)
        while True:
            try:
                block = file.read(count, dtype="float32")
            except library.SoundFileError:
                return
            if not len(block):
                return
            yield block


def _by_media(path: Path) -> SoundBlocks:
    from companion.media.decoding import loudest_sound, sound_blocks

    found = loudest_sound(path)
    sound = SoundBlocks(found.rate_hz, lambda: sound_blocks(path, found.rank), found.frames)
    next(iter(sound.blocks()))  # or it says that there is nothing
    return sound


def _library() -> Any:
    """soundfile. Raises UserError where it is not there."""
    try:
        import soundfile
    except (ImportError, OSError):
        remedy = "install it: python3 -m pip install soundfile"
        raise UserError("sound files need the Python package 'soundfile', which is not there", remedy) from None
    return soundfile
