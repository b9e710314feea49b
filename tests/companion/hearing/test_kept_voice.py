"""A voice that was learnt, kept as bytes and read back."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.hearing.echoes.beginnings import Beginnings
from companion.hearing.kept_voice import voice_from_bytes, voice_to_bytes
from companion.hearing.learning import learn
from companion.hearing.learnt import Learnt
from companion.hearing.spectra import Floats, Thinner, power_spectra
from companion.hearing.walks.walk import walk
from fingering.errors import UserError
from tests.hearing.recording import RATE_HZ
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.takes import learners_take

DRAW, SECONDS = 3, 6.0


@cache
def thinned() -> tuple[Floats, float]:
    """Six seconds of a learner, thinned, and their rate."""
    thinner = Thinner(RATE_HZ)
    return thinner.thin(
        sounding(learners_take(DRAW, SECONDS), SoundSource.PRACTICE_VOICE, DRAW).samples
    ), thinner.rate_hz


@cache
def a_voice() -> Learnt:
    """What is learnt of them."""
    found = learn([thinned()[0]], thinned()[1])
    assert found is not None
    return found


def test_a_kept_voice_hears_as_it_did() -> None:
    """Read back, it finds the same way through the same sound; it takes less than 40 kB."""
    data = voice_to_bytes(a_voice())
    read = voice_from_bytes(data)
    powers = power_spectra(thinned()[0], read.grid)
    ways = [[(each.pitch, each.first) for each in walk(powers, learnt)] for learnt in (a_voice(), read)]
    assert ways[0] == ways[1]
    assert read.scale == a_voice().scale
    assert read.heard == a_voice().heard
    assert read.echo == a_voice().echo
    assert len(data) < 40_000


def test_how_notes_begin_in_a_room_is_kept() -> None:
    """Of each pitch and bin, with how far it strays; a voice without it has none."""
    shape = a_voice().voice.seen.shape
    ramp = np.linspace(-9.0, 3.0, shape[0] * shape[1]).reshape(shape)
    begins = replace(a_voice(), beginnings=Beginnings(ramp, 10.0 + ramp))
    read = voice_from_bytes(voice_to_bytes(begins)).beginnings
    assert read is not None
    np.testing.assert_allclose(read.over_db, ramp, rtol=1e-6)
    np.testing.assert_allclose(read.variance, 10.0 + ramp, rtol=1e-6)
    assert voice_from_bytes(voice_to_bytes(a_voice())).beginnings is None


@given(at=st.integers(0, 10**6), flip=st.integers(1, 255))
def test_damage_anywhere_is_refused_in_one_line(at: int, flip: int) -> None:
    """Any byte changed, or the rest cut off: a UserError that says what to do, and no other error."""
    data = bytearray(voice_to_bytes(a_voice()))
    at %= len(data)
    cut = bytes(data[:at])
    data[at] ^= flip
    for damaged in (bytes(data), cut):
        with pytest.raises(UserError, match="learnt anew") as caught:
            voice_from_bytes(damaged)
        assert "\n" not in str(caught.value)


def test_what_was_not_seen_stays_unseen() -> None:
    """Notes that were not heard for long have no spectrum of their own after reading either."""
    seen = voice_from_bytes(voice_to_bytes(a_voice())).voice.seen
    assert (np.isnan(seen) == np.isnan(a_voice().voice.seen)).all()
    assert np.isnan(seen).any()
