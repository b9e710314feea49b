"""Recordings as files: WAV of every width, whole or cut off, empty files, long ones, compressed ones, videos."""

from __future__ import annotations

import wave
from collections.abc import Iterable
from pathlib import Path

import numpy as np

from tests.hearing.conditions.codec import write_sound
from tests.hearing.recording import Samples, TrueRecording

WIDTHS = {8: 1, 16: 2, 24: 3, 32: 4}
"""Bytes for each sample, by bits."""


def write_wav_file(path: Path, blocks: Iterable[Samples], rate_hz: int, *, bits: int = 16) -> None:
    """Write blocks of samples (all mono or all stereo) as a PCM file, one after the other: it may be an hour long.

    Raises ValueError for a width that is not 8, 16, 24 or 32 bits.
    """
    if bits not in WIDTHS:
        raise ValueError(f"a WAV file has samples of 8, 16, 24 or 32 bits, not {bits}")
    with wave.open(str(path), "wb") as file:
        file.setsampwidth(WIDTHS[bits])
        file.setframerate(rate_hz)
        for rank, block in enumerate(blocks):
            if rank == 0:
                file.setnchannels(1 if block.ndim == 1 else block.shape[1])
            file.writeframesraw(_packed(block, bits))


def _packed(block: Samples, bits: int) -> bytes:
    full = 2 ** (bits - 1) - 1
    whole = np.round(np.clip(block, -1.0, 1.0).astype(np.float64) * full).astype("<i4")
    if bits == 8:
        return bytes((whole + 128).astype(np.uint8).tobytes())
    octets = whole.reshape(-1, 1).view(np.uint8)
    return bytes(octets[:, : WIDTHS[bits]].tobytes())


def write_recording(path: Path, recording: TrueRecording, *, bits: int = 16) -> None:
    """Write one recording as a PCM file."""
    write_wav_file(path, [recording.samples], recording.rate_hz, bits=bits)


def write_truncated(path: Path, recording: TrueRecording, share: float = 0.6) -> None:
    """Write a PCM file that ends before its header says so: that share of its bytes."""
    write_recording(path, recording)
    whole = path.read_bytes()
    path.write_bytes(whole[: round(share * len(whole))])


def write_empty(path: Path) -> None:
    """Write a file without a byte."""
    path.write_bytes(b"")


def write_without_samples(path: Path, rate_hz: int = 48_000) -> None:
    """Write a PCM file, mono, in which there is no sample."""
    write_wav_file(path, [np.zeros(0, np.float32)], rate_hz)


def write_mp3(path: Path, recording: TrueRecording, kbit_s: int = 96) -> None:
    """Write one recording as MPEG layer III."""
    write_sound(path, recording.samples, recording.rate_hz, "mp3", "libmp3lame", kbit_s=kbit_s)


def write_video(path: Path, recording: TrueRecording) -> None:
    """Write an MPEG-4 video of a grey picture with the recording as its sound, in AAC."""
    write_sound(path, recording.samples, recording.rate_hz, "mp4", "aac", kbit_s=128, with_picture=True)
