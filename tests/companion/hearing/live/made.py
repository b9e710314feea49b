"""Sounds and voices that several tests of the live hearing share, made once."""

from __future__ import annotations

from functools import cache

import numpy as np

from companion.hearing.learnt import Learnt
from companion.hearing.live.live_hearing import LiveHearing
from companion.hearing.live.live_note import LiveNote
from tests.hearing.live_table import calibrated, scale_take
from tests.hearing.recording import RATE_HZ, Samples, TrueRecording
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.takes import learners_take
from tests.hearing.truth import HeardEvent

DRAW, SECONDS = 3, 8.0


@cache
def recording() -> TrueRecording:
    """Eight seconds of a steady learner on a practice chanter, with faults."""
    return sounding(learners_take(DRAW, SECONDS), SoundSource.PRACTICE_VOICE, DRAW)


@cache
def voice() -> Learnt:
    """That chanter's voice, learnt from its scale."""
    learnt = calibrated(sounding(scale_take(), SoundSource.PRACTICE_VOICE, DRAW))
    assert learnt is not None
    return learnt


def heard(samples: Samples, kept: Learnt | None, block: int = 480, rate_hz: int = RATE_HZ) -> list[LiveNote]:
    """What is told of samples in blocks, without learning anew."""
    hearing = LiveHearing(rate_hz, kept)
    blocks = (samples[first : first + block] for first in range(0, len(samples), block))
    return [note for part in blocks for note in hearing.hear(part)]


def events(notes: list[LiveNote], stop_s: float = SECONDS) -> list[HeardEvent]:
    """Notes told as (onset, stop, note)."""
    ends = [*(each.at_s for each in notes[1:]), stop_s]
    return [(each.at_s, end_s, each.note) for each, end_s in zip(notes, ends, strict=True) if each.note is not None]


def quiet(seconds: float) -> Samples:
    """Nearly nothing: noise at -80 dB, as a microphone always has."""
    noise = np.random.default_rng(1).normal(size=round(seconds * RATE_HZ))
    return (1e-4 * noise).astype(np.float32)
