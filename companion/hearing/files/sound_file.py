"""Opens a sound file as blocks of samples: soundfile (libsndfile) reads WAV, FLAC, Ogg and their like; MP3, all else,
and films are read by PyAV in companion.media.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from itertools import chain
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from companion.files.lines import one_line
from companion.files.reading import read_beginning
from companion.hearing.files.library import sound_library
from companion.hearing.hear import SoundBlocks
from fingering.errors import UserError

BLOCK_SAMPLES = 1 << 19
"""How many samples are read at once, those of all channels together: two MB."""

STEP_FRAMES = 1 << 12
"""A FLAC file whose writer was ended has no length, and a last block that is cut, as one that is still being copied:
libsndfile then gives nothing of what it is asked for, so it is asked for no more than a frame of FLAC at a time."""

_NO_LENGTH = 1 << 62
"""libsndfile tells the largest number there is where it knows no length."""

_GREATEST_16 = 1.0 - 2.0**-15
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


def mono_blocks_from(path: Path, at_s: float) -> Iterator[NDArray[np.float32]]:
    """The samples of a file from a moment on, float32, mono, block by block, at the rate that `open_sound` tells.

    Nothing is yielded after the end. Raises UserError as `open_sound` does.
    """
    for block in _blocks_from(path, at_s):
        yield block.mean(axis=1, dtype=np.float32)


def _blocks_from(path: Path, at_s: float) -> Iterator[NDArray[np.float32]]:
    library = sound_library()
    if not read_beginning(path, 4).startswith(BEGINNINGS):
        yield from _media_blocks_from(path, at_s)
        return
    try:
        file = library.SoundFile(str(path))
    except library.SoundFileError:
        yield from _media_blocks_from(path, at_s)
        return
    with file, contextlib.suppress(library.SoundFileError):  # one that ends too soon is read as far as it goes
        left = max(0, round(at_s * file.samplerate))
        if file.frames < _NO_LENGTH:
            left -= file.seek(min(left, file.frames))
        while len(block := file.read(STEP_FRAMES, dtype="float32", always_2d=True)):
            if left < len(block):
                yield block[left:]
            left = max(0, left - len(block))


def _media_blocks_from(path: Path, at_s: float) -> Iterator[NDArray[np.float32]]:
    from companion.media.decoding import loudest_sound, sound_blocks

    return sound_blocks(path, loudest_sound(path).rank, at_s, STEP_FRAMES)


def write_flac(stream: Any, sound: SoundBlocks) -> None:
    """Write a sound as FLAC of 16 bits into a stream of bytes in which one can go back. Raises UserError for what is no
    sound, and OSError where there is no room.
    """
    library = sound_library()
    blocks = iter(sound.blocks())
    first = next(blocks, np.zeros(0, np.float32))
    channels = 1 if first.ndim == 1 else first.shape[1]
    with library.SoundFile(stream, "w", sound.rate_hz, channels, "PCM_16", format="FLAC") as file:
        for block in chain((first,), blocks):
            file.write(np.clip(np.nan_to_num(block), -1.0, _GREATEST_16))


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
    """A sound that libsndfile reads; None for another. Raises UserError for a recording that was never written on."""
    if not beginning.startswith(BEGINNINGS):
        return None
    library = sound_library()
    try:
        with library.SoundFile(str(path)) as file:
            rate_hz, frames = int(file.samplerate), int(file.frames)
    except library.SoundFileError:
        return None
    if frames <= 0:
        return None
    if frames < _NO_LENGTH:
        return SoundBlocks(rate_hz, lambda: _blocks(library, path, BLOCK_SAMPLES), frames)
    frames = sum(len(block) for block in _blocks(library, path, STEP_FRAMES))
    if not frames:
        raise UserError("nothing was kept of this recording", "record again", one_line(str(path)))
    return SoundBlocks(rate_hz, lambda: _blocks(library, path, STEP_FRAMES), frames)


def _blocks(library: Any, path: Path, most_frames: int) -> Iterator[NDArray[np.float32]]:
    """The samples that are there; a file that ends too soon is read as far as it goes."""
    try:
        file = library.SoundFile(str(path))
    except library.SoundFileError:  # it could be opened a moment ago
        remedy = "leave it where it is until all of it was heard"
        raise UserError("this file was taken away or changed while it was read", remedy, one_line(str(path))) from None
    with file:
        count = max(1, min(most_frames, BLOCK_SAMPLES // file.channels))
        given = 0
        while True:
            try:
                block = file.read(count, dtype="float32")
            except library.SoundFileError:
                break
            if not len(block):
                return
            given += len(block)
            yield block
    if count > STEP_FRAMES:  # of a FLAC file that was cut the last block is there in part
        for block in _blocks(library, path, STEP_FRAMES):
            if given < len(block):
                yield block[given:]
            given = max(0, given - len(block))


def _by_media(path: Path) -> SoundBlocks:
    from companion.media.decoding import loudest_sound, sound_blocks

    found = loudest_sound(path)
    sound = SoundBlocks(found.rate_hz, lambda: sound_blocks(path, found.rank), found.frames)
    next(iter(sound.blocks()))  # or it says that there is nothing
    return sound
