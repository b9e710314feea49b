"""Writes a tune as a WAV file."""

from __future__ import annotations

import wave
from pathlib import Path

from companion.files.writing import whole_file
from companion.sound.files.blocks import ToldShare, rendered_blocks, unheard
from companion.sound.renderer import Renderer
from companion.sound.settings import SAMPLE_RATE_HZ
from fingering.errors import UserError

BYTES_PER_FRAME = 4
# The sizes in a WAV file are 32-bit numbers.
LONGEST_FRAMES = (2**32 - 1_024) // BYTES_PER_FRAME


def write_wav(path: Path, renderer: Renderer, progress: ToldShare = unheard, *, force: bool = False) -> None:
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
        for block in rendered_blocks(renderer, progress):
            file.writeframesraw(block.tobytes())
