"""Decodes the sound of any file that FFmpeg's libraries read: M4A, films, and what else a telephone makes.

PyAV is loaded only when something is decoded: it takes a fifth of a second to load.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from companion.files.lines import one_line
from companion.media.encoding import av_library
from fingering.errors import UserError

BLOCK_FRAMES = 1 << 16
_MICROSECONDS = 1_000_000
_SEEK_BEFORE_S = 0.2
"""What is compressed leans on what came before it: decoding begins so much sooner than what is wanted."""

_NO_SOUND = "give a sound file: WAV, FLAC, MP3, Ogg, M4A, or a film with sound"


def sound_rate(path: Path) -> tuple[int, int]:
    """The sample rate of a file's first sound, and about how many frames it holds, 0 where that is not told.

    Raises UserError for a file without sound.
    """
    with _opened(path) as (container, stream):
        duration_s = container.duration / _MICROSECONDS if container.duration else 0.0
        return int(stream.rate), round(duration_s * stream.rate)


def sound_blocks(path: Path, at_s: float = 0.0, block_frames: int = BLOCK_FRAMES) -> Iterator[NDArray[np.float32]]:
    """The samples of a file's first sound from a moment on, block by block: float32, -1 to 1, shape (frames, channels).

    What is spoilt is left out. Raises UserError for a file without sound, or that ends before any is decoded.
    """
    held: list[NDArray[np.float32]] = []
    count = whole = 0
    with _opened(path) as (container, stream):
        for part in _decoded(container, stream) if at_s <= 0.0 else _decoded_from(container, stream, at_s):
            held.append(part)
            count += len(part)
            if count >= block_frames:
                yield np.concatenate(held)
                whole += count
                held, count = [], 0
    if count:
        yield np.concatenate(held)
    if not whole + count and at_s <= 0.0:
        raise UserError("this file holds no sound that can be decoded", _NO_SOUND, one_line(str(path)))


def _decoded_from(container: Any, stream: Any, at_s: float) -> Iterator[NDArray[np.float32]]:
    """The samples from a moment on: from the place to go to before it, less what lies between."""
    first_s = (stream.start_time or 0) * float(stream.time_base)
    wanted_s = first_s + at_s
    container.seek(max(0, round((wanted_s - _SEEK_BEFORE_S) * _MICROSECONDS)), backward=True)
    left: int | None = None
    for part, begins_s in _timed(container, stream):
        if left is None:
            left = round((wanted_s - begins_s) * stream.rate)
        if left > 0:
            part, left = part[left:], left - len(part)
        if len(part):
            yield part


def _decoded(container: Any, stream: Any) -> Iterator[NDArray[np.float32]]:
    return (part for part, _ in _timed(container, stream))


def _timed(container: Any, stream: Any) -> Iterator[tuple[NDArray[np.float32], float]]:
    """Yield samples as they are decoded, and when by the file's own clock the frame began that they came of."""
    import av

    resampler = av.AudioResampler(format="fltp", layout="stereo" if stream.channels > 1 else "mono", rate=stream.rate)
    packets = container.demux(stream)
    while True:
        try:
            packet = next(packets)
            frames = packet.decode()
        except StopIteration:
            return
        except av.error.EOFError:
            return
        except av.FFmpegError:  # a spoilt packet: what comes after it may be whole
            continue
        for frame in frames:
            for out in resampler.resample(frame):
                yield np.ascontiguousarray(out.to_ndarray().T, np.float32), frame.time or 0.0


@contextlib.contextmanager
def _opened(path: Path) -> Iterator[tuple[Any, Any]]:
    """A container and its first sound. Raises UserError where there is none."""
    av = av_library()
    place = one_line(str(path))
    try:
        container = av.open(f"file:{path}")  # "file:", or a colon in its name would be taken for a protocol
    except (av.FFmpegError, ValueError):
        raise UserError("this is no sound file that can be read", _NO_SOUND, place) from None
    with container:
        if not container.streams.audio:
            raise UserError("there is no sound in this file", _NO_SOUND, place)
        yield container, container.streams.audio[0]
