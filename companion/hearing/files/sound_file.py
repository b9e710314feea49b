"""Opens a sound file as blocks of samples: soundfile (libsndfile) reads WAV, FLAC, Ogg and MP3; all else, and films,
are read by PyAV in companion.media.
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

BLOCK_FRAMES = 1 << 18
STEP_FRAMES = 1 << 12
"""A FLAC file whose writer was ended has no length, and a last block that is cut: libsndfile then gives nothing of what
it is asked for, so it is asked for no more than a frame of FLAC at a time."""

_NO_LENGTH = 1 << 62
"""libsndfile tells the largest number there is where it knows no length."""

_GREATEST_16 = 1.0 - 2.0**-15
LOWEST_RATE_HZ, HIGHEST_RATE_HZ = 8_000, 384_000
LONGEST_S = 4 * 3600.0
"""Rates that microphones record at; below 8 kHz too few harmonics are left. Longer than four hours is no lesson."""


def open_sound(path: Path) -> SoundBlocks:
    """The sound of a file. Raises UserError for what is no sound file, or holds nothing."""
    place = one_line(str(path))
    if not read_beginning(path, 1):
        raise UserError("this file is empty", "record again, and see that the file grows meanwhile", place)
    sound = _by_soundfile(path) or _by_media(path)
    if not LOWEST_RATE_HZ <= sound.rate_hz <= HIGHEST_RATE_HZ:
        what = f"this was recorded at {sound.rate_hz} samples a second"
        raise UserError(what, f"record at {LOWEST_RATE_HZ} or more, 44100 is usual", place)
    if sound.frames > LONGEST_S * sound.rate_hz:
        raise UserError("this recording is longer than four hours", "cut it to what was played", place)
    return sound


def mono_blocks_from(path: Path, at_s: float) -> Iterator[NDArray[np.float32]]:
    """The samples of a file from a moment on, float32, mono, block by block, at the rate that `open_sound` tells.

    Nothing is yielded after the end. Raises UserError as `open_sound` does.
    """
    for block in _blocks_from(path, at_s):
        yield block.mean(axis=1, dtype=np.float32)


def _blocks_from(path: Path, at_s: float) -> Iterator[NDArray[np.float32]]:
    library = sound_library()
    try:
        file = library.SoundFile(str(path))
    except library.SoundFileError:
        from companion.media.decoding import sound_blocks

        yield from sound_blocks(path, at_s, STEP_FRAMES)
        return
    with file, contextlib.suppress(library.SoundFileError):  # one that ends too soon is read as far as it goes
        left = max(0, round(at_s * file.samplerate))
        if file.frames < _NO_LENGTH:
            left -= file.seek(min(left, file.frames))
        while len(block := file.read(STEP_FRAMES, dtype="float32", always_2d=True)):
            if left < len(block):
                yield block[left:]
            left = max(0, left - len(block))


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


def _by_soundfile(path: Path) -> SoundBlocks | None:
    """A sound that libsndfile reads; None for another. Raises UserError for one that holds nothing."""
    library = sound_library()
    try:
        with library.SoundFile(str(path)) as file:
            rate_hz, frames = int(file.samplerate), int(file.frames)
    except library.SoundFileError:
        return None
    if frames <= 0:
        raise UserError("this recording is empty", "record again, and see that it has a length", one_line(str(path)))
    if frames < _NO_LENGTH:
        return SoundBlocks(rate_hz, lambda: _blocks(library, path, BLOCK_FRAMES), frames)
    frames = sum(len(block) for block in _blocks(library, path, STEP_FRAMES))
    if not frames:
        raise UserError("nothing was kept of this recording", "record again", one_line(str(path)))
    return SoundBlocks(rate_hz, lambda: _blocks(library, path, STEP_FRAMES), frames)


def _blocks(library: Any, path: Path, length: int) -> Iterator[NDArray[np.float32]]:
    """The samples that are there; a file that ends too soon is read as far as it goes."""
    with library.SoundFile(str(path)) as file:
        while True:
            try:
                block = file.read(length, dtype="float32")
            except library.SoundFileError:
                return
            if not len(block):
                return
            yield block


def _by_media(path: Path) -> SoundBlocks:
    from companion.media.decoding import sound_blocks, sound_rate

    rate_hz, frames = sound_rate(path)
    return SoundBlocks(rate_hz, lambda: sound_blocks(path), frames)
