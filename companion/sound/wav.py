"""Writes a tune as a WAV file."""

from __future__ import annotations

import wave
from collections.abc import Callable
from pathlib import Path

from companion.files.writing import whole_file
from companion.sound.mix import to_int16
from companion.sound.renderer import Renderer
from companion.sound.settings import SAMPLE_RATE_HZ
from fingering.errors import UserError

BLOCK_FRAMES = 16_384
BYTES_PER_FRAME = 4
# The sizes in a WAV file are 32-bit numbers.
LONGEST_FRAMES = (2**32 - 1_024) // BYTES_PER_FRAME


def write_wav(
    path: Path, renderer: Renderer, progress: Callable[[float], None] = lambda share: None, *, force: bool = False
) -> None:
    """Render all that is left of a tune into a 16-bit stereo file, telling `progress` the share done, 0 to 1.

    force: whether a file that stands there is written over. Raises UserError when the sound is too long for a WAV file
    or the file cannot be written.
    """
    total = renderer.frames_left
    if total > LONGEST_FRAMES:
        hours = total / SAMPLE_RATE_HZ / 3600
        raise UserError(f"{hours:.1f} hours are too long for a WAV file", "choose a smaller slow-down", str(path))
    with whole_file(path, force=force) as raw, wave.open(raw, "wb") as file:
        file.setparams((2, 2, SAMPLE_RATE_HZ, total, "NONE", ""))
        _write_blocks(file, renderer, total, progress)


def _write_blocks(file: wave.Wave_write, renderer: Renderer, total: int, progress: Callable[[float], None]) -> None:
    done = 0
    while done < total:
        count = min(BLOCK_FRAMES, total - done)
        file.writeframesraw(to_int16(renderer.render(count)).tobytes())
        done += count
        progress(done / total)
