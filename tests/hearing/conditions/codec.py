"""The one place that calls PyAV: sound through a lossy codec and back, and sound as a file of any container."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np

from tests.hearing.recording import Samples
from tests.referees import require_module

FRAME = 1152
VIDEO_RATE = 25
VIDEO_SIZE = (160, 120)


def through_mp3(samples: Samples, rate_hz: int, kbit_s: int) -> Samples:
    """Samples (mono or stereo) after MPEG layer III and back; as long as they were, and not moved in time.

    LAME writes how many samples it and a decoder add in front, and PyAV's decoder leaves those out; the tests hold the
    result against what went in.
    """
    memory = io.BytesIO()
    write_sound(memory, samples, rate_hz, "mp3", "libmp3lame", kbit_s=kbit_s)
    memory.seek(0)
    decoded = read_sound(memory)
    out = np.zeros_like(samples)
    count = min(len(out), len(decoded))
    out[:count] = decoded[:count].reshape(count, *samples.shape[1:])
    return out


def write_sound(
    target: BinaryIO | Path,
    samples: Samples,
    rate_hz: int,
    container: str,
    codec: str,
    *,
    kbit_s: int | None = None,
    with_picture: bool = False,
) -> None:
    """Write samples (mono or stereo) as a file; with_picture: as the sound of a video of a grey picture."""
    av = require_module("av")
    with av.open(target if isinstance(target, io.BytesIO) else str(target), "w", format=container) as file:
        video = _video_stream(file) if with_picture else None  # all streams stand before the first is written
        layout = "mono" if samples.ndim == 1 else "stereo"
        stream = file.add_stream(codec, rate=rate_hz, layout=layout)
        if kbit_s:
            stream.bit_rate = 1000 * kbit_s
        if video is not None:
            _show_grey(av, file, video, len(samples) / rate_hz)
        planes = np.ascontiguousarray(np.atleast_2d(samples.T), np.float32)
        resampler = av.AudioResampler(format=stream.format.name, layout=layout, rate=rate_hz)
        for at in range(0, planes.shape[1], FRAME * 32):
            frame = av.AudioFrame.from_ndarray(planes[:, at : at + FRAME * 32], format="fltp", layout=layout)
            frame.sample_rate, frame.pts = rate_hz, at
            for converted in resampler.resample(frame):
                file.mux(stream.encode(converted))
        file.mux(stream.encode(None))


def _video_stream(file: Any) -> Any:
    video = file.add_stream("mpeg4", rate=VIDEO_RATE)
    video.width, video.height = VIDEO_SIZE
    video.pix_fmt = "yuv420p"
    return video


def _show_grey(av: Any, file: Any, video: Any, seconds: float) -> None:
    grey = np.full((VIDEO_SIZE[1], VIDEO_SIZE[0], 3), 128, np.uint8)
    for _ in range(max(1, round(seconds * VIDEO_RATE))):
        file.mux(video.encode(av.VideoFrame.from_ndarray(grey, format="rgb24")))
    file.mux(video.encode(None))


def read_sound(source: BinaryIO | Path) -> Samples:
    """All samples of a file's first sound: float32, shape (n, channels)."""
    av = require_module("av")
    with av.open(source if not isinstance(source, Path) else str(source)) as file:
        resampler = av.AudioResampler(format="fltp")
        planes = [
            part.to_ndarray() for frame in file.decode(file.streams.audio[0]) for part in resampler.resample(frame)
        ]
    return np.ascontiguousarray(np.concatenate(planes, axis=1).T, np.float32)
