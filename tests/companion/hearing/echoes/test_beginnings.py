"""How notes begin in a room, learnt from frames whose beginnings are known."""

from __future__ import annotations

import numpy as np
import pytest

from companion.hearing.echoes.beginnings import EXPECTED_DB, beginnings_of, expected_beginnings
from companion.hearing.echoes.room import RoomEcho
from companion.hearing.path import HeardStretch
from companion.hearing.spectra import Floats, FrameGrid
from companion.hearing.voice import Templates, without_foreign_lines

pytestmark = pytest.mark.same_everywhere

BINS = 40
GROUND = np.full(BINS, 1e-6, np.float32)
ECHO = RoomEcho(share=0.5, decay_s=0.03)
HOP_S = 0.0025
NOTE_FRAMES = 60


def steady() -> Templates:
    """Two pitches, the first in the lower bins, the second in the upper ones."""
    powers = np.full((2, BINS), 1e-7, np.float32)
    powers[0, :20] = powers[1, 20:] = 1.0
    return Templates(powers, np.zeros((2, BINS), np.float32))


def played(over_db: float) -> tuple[Floats, list[HeardStretch]]:
    """Both pitches by turns, each as long; the second begins so many dB over its steady power for 20 ms."""
    told, powers, way = steady(), [], []
    for rank in range(10):
        part = np.tile(told.powers[rank % 2] + GROUND, (NOTE_FRAMES, 1))
        if rank % 2:
            part[:8] *= 10.0 ** (over_db / 10.0)
        powers.append(part)
        way.append(HeardStretch(rank % 2, rank * NOTE_FRAMES, (rank + 1) * NOTE_FRAMES))
    return np.concatenate(powers).astype(np.float32), way


@pytest.mark.parametrize("over_db", [-9.0, 5.0])
def test_how_a_pitch_begins_is_learnt(over_db: float) -> None:
    """Of five beginnings, to within a sixth of what the mean of all is away from it; that of the other pitch stays."""
    powers, way = played(over_db)
    found = beginnings_of([powers], [way], steady(), GROUND, ECHO, HOP_S)
    assert found.over_db[1, 20:] == pytest.approx(np.full(20, over_db), abs=0.2 * abs(over_db))
    assert np.abs(found.over_db[0, :20]).max() < 0.2 * abs(over_db)


def test_what_was_often_seen_is_surer_than_what_was_not() -> None:
    """Bins in which the pitch does not sound tell nothing of its beginning."""
    powers, way = played(-6.0)
    often = beginnings_of([powers], [way], steady(), GROUND, ECHO, HOP_S).variance
    once = beginnings_of([powers[: 2 * NOTE_FRAMES]], [way[:2]], steady(), GROUND, ECHO, HOP_S).variance
    assert (often[1, 20:] < once[1, 20:]).all()
    assert (once[1, 20:] < expected_beginnings(steady()).variance[1, 20:]).all()


def test_without_any_beginning_all_is_as_expected() -> None:
    """One note alone has none before it, by which it would be known when it began."""
    powers, way = played(0.0)
    found = beginnings_of([powers[:NOTE_FRAMES]], [way[:1]], steady(), GROUND, ECHO, HOP_S)
    np.testing.assert_allclose(found.over_db, EXPECTED_DB)


def test_lines_of_an_octave_below_are_another_notes() -> None:
    """Of a high G that was seen with a low G's lines only its own are left; a low note loses nothing."""
    grid = FrameGrid.of(15_000.0)
    low_hz = 400.0
    near = np.abs(grid.bins_hz[:, np.newaxis] - low_hz * np.arange(1, 13)).min(axis=1) < 30.0
    seen = np.where(near, 1.0, 1e-6)
    assert without_foreign_lines(seen, grid, low_hz) == pytest.approx(seen)
    own = without_foreign_lines(seen, grid, 2.0 * low_hz)
    odd = np.abs(grid.bins_hz[:, np.newaxis] - low_hz * np.arange(1, 13, 2)).min(axis=1) < 30.0
    assert own[odd].max() == pytest.approx(1e-3)
    assert own[near & ~odd] == pytest.approx(1.0)
