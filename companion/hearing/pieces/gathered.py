"""A sound that comes in blocks, thinned, cut into blocks of one length, and the pieces of it that are learnt from."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from companion.hearing.spectra import Floats, Thinner

PIECE_S = 10.0
MOST_PIECES = 6
"""A chanter is learnt from a minute of its sound at most, in pieces from all over it."""


def thinned(blocks: Iterable[Floats], rate_hz: int) -> Iterator[Floats]:
    thinner = Thinner(rate_hz)
    for block in blocks:
        yield thinner.thin(block)
    yield thinner.rest()


def gathered(parts: Iterable[Floats], length: int) -> Iterator[Floats]:
    """Cut samples that come in blocks of any length into blocks of one length, of which the last is shorter."""
    held: list[Floats] = []
    count = 0
    for part in parts:
        held.append(part)
        count += len(part)
        if count >= length:
            whole = np.concatenate(held)
            for first in range(0, len(whole) - length + 1, length):
                yield whole[first : first + length]
            rest = whole[len(whole) // length * length :]
            held, count = [rest], len(rest)
    if count:
        yield np.concatenate(held)


@dataclass(frozen=True, slots=True, eq=False)
class SoundPieces:
    """Pieces of one thinned sound that a chanter is learnt from. are_all: whether they are all of it, in order."""

    parts: list[Floats]
    are_all: bool

    def changed(self, changing: Callable[[Iterable[Floats]], Iterable[Floats]]) -> SoundPieces:
        """The pieces as something changes a sound that comes in blocks, in which nothing is moved in time: all
        together, so that each is changed by what lies beside it, where they follow each other."""
        if not self.are_all:
            return SoundPieces([_joined(changing((each,))) for each in self.parts], are_all=False)
        ends = np.cumsum([len(each) for each in self.parts])
        return SoundPieces(np.split(_joined(changing(self.parts)), ends[:-1]), are_all=True)


def _joined(blocks: Iterable[Floats]) -> Floats:
    return np.concatenate(list(blocks))


def pieces_of(mono: Iterable[Floats], rate_hz: int) -> SoundPieces:
    """Pieces from all over a sound, the louder ones: always every so manieth, the fewer the longer it is."""
    length = round(PIECE_S * Thinner(rate_hz).rate_hz)
    kept: list[tuple[int, Floats]] = []
    every, count = 1, 0
    for rank, piece in enumerate(gathered(thinned(mono, rate_hz), length)):
        count += 1
        if rank % every == 0:
            kept.append((rank, piece.copy()))
        if len(kept) > 2 * MOST_PIECES:
            every *= 2
            kept = [each for each in kept if each[0] % every == 0]
    loudness = [float(np.sqrt(np.mean(np.square(piece)))) if len(piece) else 0.0 for _, piece in kept]
    loudest = sorted(range(len(kept)), key=lambda at: -loudness[at])[:MOST_PIECES]
    parts = [kept[at][1] for at in sorted(loudest) if loudness[at] > 0.1 * max(loudness)]
    return SoundPieces(parts, len(parts) == count)


def first_of(frames: int, blocks: Iterable[Floats]) -> Iterator[Floats]:
    """Yield the first samples of blocks, as many as asked for: a file may have grown since it was measured."""
    for block in blocks:
        if frames <= 0:
            return
        yield block[:frames]
        frames -= len(block)
