"""Decodes the sound of any file that FFmpeg's libraries read: M4A, films, and what else a telephone makes.

PyAV is loaded only when something is decoded: it takes a fifth of a second to load.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from companion.files.lines import one_line
from companion.files.signals import signals_raised_after
from companion.media.encoding import av_library
from fingering.errors import UserError

BLOCK_FRAMES = 1 << 16
_MICROSECONDS = 1_000_000
_SEEK_BEFORE_S = 0.2
"""What is compressed leans on what came before it: decoding begins so much sooner than what is wanted."""

COMPARED_S = 60.0
"""How much of each sound is compared in a film that has several."""

CONTAINERS = (
    *("aac", "ac3", "aiff", "amr", "amrnb", "amrwb", "ape", "asf", "au", "avi", "caf", "eac3", "flac", "flv", "gsm"),
    *("matroska", "mov", "mp3", "mpeg", "mpegts", "ogg", "rm", "tta", "voc", "w64", "wav", "wv"),
)
"""The formats that are read, by FFmpeg's names. Others, such as lists of files, would have it open files and addresses
that nobody named."""

_NO_SOUND = "give a sound file: WAV, FLAC, MP3, Ogg, M4A, or a film with sound"


@dataclass(frozen=True, slots=True)
class FoundSound:
    """One sound of a file. rank: which of its sounds, from 0. frames: about how many it holds, 0 where that is not
    told."""

    rank: int
    rate_hz: int
    frames: int


def loudest_sound(path: Path) -> FoundSound:
    """A file's sound; of several the loudest, the first of those as loud: a film may have tracks that are silent.

    Raises UserError for a file without sound.
    """
    with _opened(path) as container:
        duration_s = container.duration / _MICROSECONDS if container.duration else 0.0
        rates_hz = [int(each.rate) for each in _decodable(container)]
    rank = 0
    if len(rates_hz) > 1:
        loudness = [_loudness(path, each) for each in range(len(rates_hz))]
        rank = loudness.index(max(loudness))
    return FoundSound(rank, rates_hz[rank], round(max(0.0, duration_s) * rates_hz[rank]))


def _loudness(path: Path, rank: int) -> float:
    """The mean power of the beginning of one sound."""
    power, count, samples = 0.0, 0, 1
    with _opened(path) as container:
        stream = _decodable(container)[rank]
        for part in _decoded(container, stream):
            power += float(np.square(np.nan_to_num(part), dtype=np.float64).sum())
            samples += part.size
            count += len(part)
            if count > COMPARED_S * stream.rate:
                break
    return power / samples


def sound_blocks(
    path: Path, rank: int = 0, at_s: float = 0.0, block_frames: int = BLOCK_FRAMES
) -> Iterator[NDArray[np.float32]]:
    """The samples of one of a file's sounds from a moment on, in blocks: float32, -1 to 1, shape (frames, channels).

    What is spoilt is left out. Raises UserError for a file without sound, or that ends before any is decoded.
    """
    held: list[NDArray[np.float32]] = []
    count = whole = 0
    with _opened(path) as container:
        sounds = _decodable(container)
        stream = sounds[min(rank, len(sounds) - 1)]
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
        raise UserError(
            "this file is empty or spoilt: it holds no sound that can be decoded", _NO_SOUND, one_line(str(path))
        )


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

    layout, rate_hz = "stereo" if stream.channels > 1 else "mono", stream.rate
    seen = None
    packets = container.demux(stream)
    while True:
        try:
            with signals_raised_after():
                frames = next(packets).decode()
        except StopIteration:
            return
        except av.error.EOFError:
            return
        except (av.FFmpegError, ValueError):  # a spoilt packet: what comes after it may be whole; or an unknown codec
            continue
        for frame in frames:
            kind = (frame.format.name, frame.layout.name, frame.sample_rate)
            if kind != seen:  # of a spoilt file, or of one that was joined of two, frames may differ
                resampler, seen = av.AudioResampler(format="fltp", layout=layout, rate=rate_hz), kind
            with signals_raised_after():
                resampled = resampler.resample(frame)
            for out in resampled:
                yield np.ascontiguousarray(out.to_ndarray().T, np.float32), frame.time or 0.0


@contextlib.contextmanager
def _opened(path: Path) -> Iterator[Any]:
    """A container with sound. Raises UserError where there is none."""
    av = av_library()
    place = one_line(str(path))
    options = {"format_whitelist": ",".join(CONTAINERS), "protocol_whitelist": "file"}
    try:
        with signals_raised_after():
            # "file:", or a colon in its name would be taken for a protocol
            container = av.open(f"file:{path}", options=options)
    except (av.FFmpegError, ValueError):
        raise UserError("this is no sound file that can be read", _NO_SOUND, place) from None
    with container:
        if not container.streams.audio:
            raise UserError("there is no sound in this file", _NO_SOUND, place)
        if not _decodable(container):
            raise UserError("the sound in this file is of a kind that cannot be decoded", _NO_SOUND, place)
        yield container


def _decodable(container: Any) -> list[Any]:
    """Its sounds of which there is a decoder that knows their rate."""
    return [
        each for each in container.streams.audio if each.codec_context is not None and each.codec_context.sample_rate
    ]
