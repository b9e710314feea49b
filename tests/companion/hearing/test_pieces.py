"""The pieces of a sound that a chanter is learnt from."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from companion.hearing.pieces.gathered import MOST_PIECES, PIECE_S, pieces_of
from companion.hearing.spectra import Floats

RATE_HZ = 8_000
"""Which is not thinned."""


def sound(seconds: float, *, silent_from_s: float = np.inf) -> Floats:
    """Noise, and then nothing."""
    samples = np.random.default_rng(1).normal(0.0, 0.1, round(seconds * RATE_HZ)).astype(np.float32)
    samples[np.arange(len(samples)) >= silent_from_s * RATE_HZ] = 0.0
    return samples


def summed(blocks: Iterable[Floats]) -> Iterator[Floats]:
    """At each sample the sum of it and all before it, in whatever blocks; the last half of each block is held back."""
    total, held = np.float32(0.0), np.zeros(0, np.float32)
    for block in blocks:
        sums = total + np.cumsum(block)
        total = sums[-1]
        whole = np.concatenate((held, sums))
        yield whole[: len(whole) // 2]
        held = whole[len(whole) // 2 :]
    yield held


def test_the_pieces_of_a_short_sound_are_all_of_it() -> None:
    """In order, the last one shorter."""
    samples = sound(25.0)
    pieces = pieces_of(np.array_split(samples, 7), RATE_HZ)
    assert pieces.are_all
    assert [len(each) / RATE_HZ for each in pieces.parts] == [PIECE_S, PIECE_S, 5.0]
    assert np.array_equal(np.concatenate(pieces.parts), samples)


def test_of_a_long_sound_and_of_one_with_silence_pieces_are_left_out() -> None:
    """What is a tenth as loud as the loudest piece at most is not learnt from, nor is more than a minute."""
    for samples in (sound(30.0, silent_from_s=20.0), sound(PIECE_S * (MOST_PIECES + 1))):
        pieces = pieces_of([samples], RATE_HZ)
        assert not pieces.are_all
        assert sum(map(len, pieces.parts)) < len(samples)
    assert len(pieces.parts) == MOST_PIECES


def test_pieces_that_follow_each_other_are_changed_as_one() -> None:
    """Each keeps its length; where pieces are missing between them each is changed by itself."""
    whole = pieces_of([sound(25.0)], RATE_HZ)
    changed = whole.changed(summed)
    assert [len(each) for each in changed.parts] == [len(each) for each in whole.parts]
    assert changed.are_all
    np.testing.assert_allclose(np.concatenate(changed.parts), np.cumsum(np.concatenate(whole.parts)), atol=1e-3)
    parted = pieces_of([sound(30.0, silent_from_s=20.0)], RATE_HZ)
    for before, after in zip(parted.parts, parted.changed(summed).parts, strict=True):
        np.testing.assert_allclose(after, np.cumsum(before), atol=1e-3)
