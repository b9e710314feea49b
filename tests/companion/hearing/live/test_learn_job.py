"""What is learnt anew of a chanter that is known already."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.hearing.echoes.room import RoomEcho
from companion.hearing.known_voice import same_chanter
from companion.hearing.live.learn_job import LearnJob, as_pitches
from companion.hearing.spectra import Thinner
from companion.hearing.voice import audible_pitches
from fingering.notes import TUNINGS
from tests.companion.hearing.live.made import recording, voice
from tests.hearing.recording import RATE_HZ

pytestmark = pytest.mark.same_everywhere


def test_a_chanter_that_another_tuning_fits_better_is_the_same() -> None:
    """Its notes are kept; other pitches than a chanter's are left as they are."""
    known = voice()
    (other,) = (each for each in map(audible_pitches, TUNINGS) if each != known.voice.pitches)
    assert not same_chanter(replace(known, voice=replace(known.voice, pitches=other)), known)
    assert same_chanter(as_pitches(known, other), replace(known, voice=replace(known.voice, pitches=other)))
    assert as_pitches(known, other[:5]) is known


def test_a_room_that_is_known_is_not_forgotten_in_a_few_seconds() -> None:
    """Six seconds without an echo have too few notes' ends to say that there is none."""
    thinner = Thinner(RATE_HZ)
    samples = thinner.thin(recording().samples[: 6 * RATE_HZ])
    echo = RoomEcho(0.6, 0.02)
    learnt = LearnJob((samples,), thinner.rate_hz, known=replace(voice(), echo=echo))()
    assert learnt is not None
    assert learnt.echo == echo
