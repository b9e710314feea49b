"""How a room is known by how notes end in it, on spectra whose echo is known."""

from __future__ import annotations

import numpy as np
import pytest

from companion.hearing.echoes.room import MANY_ENDS, RoomEcho, echoes_of
from companion.hearing.live.learn_job import FEW_ENDS
from companion.hearing.path import HeardStretch
from companion.hearing.spectra import Floats
from companion.hearing.voice import Templates

pytestmark = pytest.mark.same_everywhere

BINS, NOTE_FRAMES = 40, 60
HARMONICS = 4
"""Bins of one harmonic stray alike."""

GRACENOTE_FRAMES = 16
HOP_S = 0.0025
GROUND = np.full(BINS, 1e-6, np.float32)
OWN = np.repeat(np.eye(2, dtype=np.float32), BINS // 2, axis=1) + np.float32(1e-7)
TEMPLATES = Templates(OWN, np.zeros_like(OWN))


def played(ends: int, echo: RoomEcho | None, seed: int = 2) -> tuple[Floats, list[HeardStretch]]:
    """Two pitches by turns, so often that one ends; what is left of each is exponentially distributed, as echoes are,
    and the next begins within 10 ms of it."""
    random = np.random.default_rng(seed)
    powers = np.concatenate([np.tile(OWN[rank % 2], (NOTE_FRAMES, 1)) for rank in range(ends + 1)])
    for rank in range(1, ends + 1):
        begin = rank * NOTE_FRAMES
        since_s = HOP_S * np.arange(NOTE_FRAMES)[:, np.newaxis]
        left = echo.share * np.exp(-since_s / echo.decay_s) if echo else np.where(since_s < 0.01, 0.1, 1e-5)
        strays = random.exponential(size=(NOTE_FRAMES, HARMONICS)).repeat(BINS // HARMONICS, axis=1) if echo else 1.0
        powers[begin : begin + NOTE_FRAMES] += left * strays * OWN[(rank - 1) % 2]
    way = [HeardStretch(rank % 2, rank * NOTE_FRAMES, (rank + 1) * NOTE_FRAMES) for rank in range(ends + 1)]
    return (powers + GROUND).astype(np.float32), way


@pytest.mark.parametrize("decay_s", [0.018, 0.03, 0.045])
def test_one_notes_end_tells_that_there_is_a_room(decay_s: float) -> None:
    """Its decay to a half more or less; without a room that is expected one end says too little."""
    powers, way = played(1, RoomEcho(0.5, decay_s))
    found = echoes_of([powers], [way], TEMPLATES, GROUND, HOP_S, FEW_ENDS)
    assert found is not None
    assert decay_s / 1.5 < found.decay_s < 1.5 * decay_s
    assert 0.2 < found.share < 0.85
    assert echoes_of([powers], [way], TEMPLATES, GROUND, HOP_S, MANY_ENDS) is None


@pytest.mark.parametrize("ends", [1, 2, 8])
def test_where_notes_end_at_once_there_is_none(ends: int) -> None:
    """However few say so, and though one is expected."""
    powers, way = played(ends, None)
    assert echoes_of([powers], [way], TEMPLATES, GROUND, HOP_S, FEW_ENDS) is None


def test_what_is_expected_matters_little_where_many_notes_end() -> None:
    """Twelve ends tell a room's decay to within a tenth of what they tell by themselves."""
    powers, way = played(12, RoomEcho(0.6, 0.045))
    alone = echoes_of([powers], [way], TEMPLATES, GROUND, HOP_S, MANY_ENDS)
    beside = echoes_of([powers], [way], TEMPLATES, GROUND, HOP_S, FEW_ENDS)
    assert alone is not None
    assert beside is not None
    assert beside.decay_s == pytest.approx(alone.decay_s, rel=0.1)


def with_gracenotes(way: list[HeardStretch], but_after: int) -> list[HeardStretch]:
    """A way with another end 40 ms after each of its notes' ends, but for so many of them."""
    out = [way[0]]
    for rank, each in enumerate(way[1:]):
        stop = each.first + GRACENOTE_FRAMES
        gracenote = [] if rank < but_after else [HeardStretch(each.pitch, each.first, stop)]
        out += [*gracenote, HeardStretch(each.pitch, gracenote[0].stop if gracenote else each.first, each.stop)]
    return out


@pytest.mark.parametrize("seed", range(8))
def test_what_is_left_for_40_ms_alone_hardly_says_how_a_room_fades(seed: int) -> None:
    """Nine ends say how much is left then, two of them how it goes on: the decay is found to a half more or less."""
    echo = RoomEcho(0.5, 0.025)
    powers, way = played(9, echo, seed)
    found = echoes_of([powers], [with_gracenotes(way, 2)], TEMPLATES, GROUND, HOP_S, MANY_ENDS)
    assert found is not None
    assert echo.decay_s / 1.5 < found.decay_s < 1.5 * echo.decay_s


def test_a_note_that_is_as_loud_as_before_has_not_ended() -> None:
    """Where one was named that did not sound nothing is learnt of a room."""
    powers, way = played(12, RoomEcho(0.5, 0.025))
    goes_on = np.maximum(powers, 0.9 * OWN.max())
    assert echoes_of([goes_on.astype(np.float32)], [way], TEMPLATES, GROUND, HOP_S, MANY_ENDS) is None
