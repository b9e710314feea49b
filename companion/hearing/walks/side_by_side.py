"""Goes through blocks of a row of frames side by side, where each frame goes by how the one before it ended. Pure.

The likeliest way through a sound is found frame by frame, and what is computed for one frame is so little that nearly
all of the time would go into asking for it. But how a note ended soon tells no more of what the next one costs. So all
blocks are gone through at once, as if each began a sound; then those again that do not begin as the block before them
has ended, from there, until all do: then each frame has had what it would have had one by one.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Standings = NDArray[np.float64]
"""Scores, or what else goes on from one frame to the next: by block last, of one frame shape (scores, blocks)."""

BLOCK_FRAMES = 16
"""40 ms: shorter ones do not know how they begin once the one before was gone through, longer ones are fewer."""

SAME_NATS = 1e-6
"""A block begins as the one before it ended where no score is further off: sums stray by less, costs tell nothing of
it."""


def in_blocks(rows: NDArray[np.floating]) -> NDArray[np.floating]:
    """Rows of frames, shape (frames, values), by their place in a block: shape (frames of a block, values, blocks); at
    the end of the last one zeros. One frame at least."""
    frames, values = rows.shape
    length = min(BLOCK_FRAMES, frames)
    padded = np.concatenate((rows, np.zeros((-frames % length, values), rows.dtype)))
    return np.ascontiguousarray(padded.reshape(-1, length, values).transpose(1, 2, 0))


def side_by_side(
    begin: Standings,
    frames: int,
    through: Callable[[Standings, NDArray[np.intp]], Standings],
    handed_on: Callable[[Standings], Standings],
) -> tuple[NDArray[np.float64], Standings]:
    """Return what the scores are before each frame, shape (frames, scores), and after the last, shape (scores, 1).

    begin: what they are at first, shape (scores, 1). through: goes through some blocks, each from its own beginning,
    and tells what is before each frame and after the last: shape (frames of a block and one, scores, blocks).
    handed_on: what goes on of that into the next block. One frame at least.
    """
    length = min(BLOCK_FRAMES, frames)
    blocks = -(-frames // length)
    begins = np.repeat(begin, blocks, axis=1)
    whole = through(begins, np.arange(blocks))
    while blocks > 1:
        ends = handed_on(whole[-1, :, :-1])
        same = np.isclose(begins[:, 1:], ends, rtol=0.0, atol=SAME_NATS).all(axis=0)
        if same.all():
            break
        others = 1 + np.flatnonzero(~same)
        begins[:, others] = ends[:, others - 1]
        whole[:, :, others] = through(begins[:, others], others)
    before = whole[:-1].transpose(2, 0, 1).reshape(blocks * length, -1)[:frames]
    return before, whole[frames - (blocks - 1) * length, :, -1:]
