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
_NO_SOUND = "give a sound file: WAV, FLAC, MP3, Ogg, M4A, or a film with sound"


def sound_rate(path: Path) -> tuple[int, int]:
    """The sample rate of a file's first sound, and about how many frames it holds, 0 where that is not told.

    Raises UserError for a file without sound.
    """
    with _opened(path) as (container, stream):
        duration_s = container.duration / 1_000_000 if container.duration else 0.0
        return int(stream.rate), round(duration_s * stream.rate)


def sound_blocks(path: Path) -> Iterator[NDArray[np.float32]]:
    """The samples of a file's first sound, block by block: float32, -1 to 1, shape (frames, channels).

    What is spoilt is left out. Raises UserError for a file without sound, or that ends before any is decoded.
    """
    held: list[NDArray[np.float32]] = []
    count = whole = 0
    with _opened(path) as (container, stream):
        for part in _decoded(container, stream):
            held.append(part)
            count += len(part)
            if count >= BLOCK_FRAMES:
                yield np.concatenate(held)
                whole += count
                held, count = [], 0
    if count:
        yield np.concatenate(held)
    if not whole + count:
        raise UserError("this file holds no sound that can be decoded", _NO_SOUND, one_line(str(path)))


def _decoded(container: Any, stream: Any) -> Iterator[NDArray[np.float32]]:
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
                yield np.ascontiguousarray(out.to_ndarray().T, np.float32)


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
