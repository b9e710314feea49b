"""Media files read again by PyAV, each sample and picture at the time that the file gives it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

from companion.sound.settings import SAMPLE_RATE_HZ


@dataclass(frozen=True, slots=True, eq=False)
class DecodedSound:
    """Samples of shape (frames, 2), -1 to 1; the first of them sounds at `starts_s` of the file's time."""

    samples: NDArray[np.float64]
    starts_s: float


def decoded_sound(path: Path) -> DecodedSound:
    """The sound of a file, at 48 kHz. It has no gaps: each block begins where the one before ends."""
    blocks: list[NDArray[np.float64]] = []
    starts_s = next_s = None
    with av.open(str(path)) as file:
        assert file.streams.audio[0].rate == SAMPLE_RATE_HZ
        for frame in file.decode(audio=0):
            assert frame.time is not None
            if next_s is None:
                starts_s = frame.time
            else:
                assert abs(frame.time - next_s) < 0.0015  # WebM counts whole milliseconds
            next_s = frame.time + frame.samples / SAMPLE_RATE_HZ
            whole = frame.format.name.startswith("s16")
            values = frame.to_ndarray().astype(np.float64) / (32_768.0 if whole else 1.0)
            blocks.append(values.T if frame.format.is_planar else values.reshape(-1, 2))
    assert starts_s is not None
    return DecodedSound(np.concatenate(blocks), starts_s)


def decoded_pictures(path: Path) -> Iterator[tuple[float, NDArray[np.uint8]]]:
    """Yield each picture of a film: when it is shown, in seconds, and its pixels, shape (height, width, 3)."""
    with av.open(str(path)) as file:
        for frame in file.decode(video=0):
            yield frame.time, np.asarray(frame.to_ndarray(format="rgb24"), np.uint8)


def lag_s(heard: NDArray[np.float64], asked: NDArray[np.float64], within_s: float = 0.05) -> float:
    """By how many seconds one sound comes later than another that it is like, both mono, to a sample."""
    count = min(len(heard), len(asked))
    size = 1 << int(np.ceil(np.log2(2 * count)))
    spectrum = np.fft.rfft(heard[:count], size) * np.conj(np.fft.rfft(asked[:count], size))
    likeness = np.fft.irfft(spectrum)
    reach = round(within_s * SAMPLE_RATE_HZ)
    near = np.concatenate((likeness[-reach:], likeness[: reach + 1]))
    return (int(np.argmax(near)) - reach) / SAMPLE_RATE_HZ
