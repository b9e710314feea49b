"""Renders what is written into a file block by block, as the 16-bit samples that every file begins from."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from companion.sound.mix import to_int16
from companion.sound.renderer import Renderer

BLOCK_FRAMES = 16_384

ToldShare = Callable[[float], None]
"""Is told the share done, 0 to 1."""


def unheard(share: float) -> None:
    """What is told where nobody watches."""


def rendered_blocks(renderer: Renderer, told: ToldShare = unheard) -> Iterator[NDArray[np.int16]]:
    """Yield all that is left of a tune, in blocks of shape (frames, 2)."""
    total, done = renderer.frames_left, 0
    while done < total:
        count = min(BLOCK_FRAMES, total - done)
        yield to_int16(renderer.render(count))
        done += count
        told(done / total)
