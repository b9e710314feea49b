"""What moments of a sound cost in a room, whether or not all of it is there at once."""

from __future__ import annotations

import numpy as np

from companion.hearing.echoes.beginnings import expected_beginnings
from companion.hearing.echoes.changes import BESIDE_FRAMES
from companion.hearing.echoes.room import LAGS_S, RoomEcho
from companion.hearing.echoes.room_costs import RoomCosts, room_costs
from companion.hearing.spectra import Floats, Thinner, power_spectra
from companion.hearing.voice import templates_of
from tests.companion.hearing.live.made import recording, voice
from tests.hearing.recording import RATE_HZ

ECHO = RoomEcho(share=0.5, decay_s=0.025)
FIRST, STOP, BLOCK = 200, 400, 4


def test_moments_cost_as_much_in_blocks_as_in_one() -> None:
    """In blocks of 10 ms with what must be known around them: a note that began in the block before may go on."""
    learnt = voice()
    steady = templates_of(learnt.voice, learnt.grid)
    begun = expected_beginnings(steady).templates(steady, learnt.ground, learnt.voice, learnt.grid)
    powers = power_spectra(Thinner(RATE_HZ).thin(recording().samples[: 2 * RATE_HZ]), learnt.grid)

    def costs(seen: Floats, frames: slice) -> RoomCosts:
        return room_costs(seen, learnt.ground, ECHO, steady, begun, learnt.own_db, learnt.grid.hop_s, frames)

    whole = costs(powers, slice(FIRST, STOP))
    before = round(max(LAGS_S) / learnt.grid.hop_s) + 1
    blocks = [
        costs(powers[first - before : first + BLOCK + BESIDE_FRAMES], slice(before, before + BLOCK))
        for first in range(FIRST, STOP, BLOCK)
    ]
    for name in ("begun", "lasting", "changing", "going_on"):
        parts = np.concatenate([getattr(each, name) for each in blocks])
        np.testing.assert_allclose(parts, getattr(whole, name), rtol=1e-4, atol=1e-4)
    assert np.isfinite(whole.begun).any(axis=1).sum() > 2 * BLOCK
