"""Short drills of few notes, and what was learnt of their chanter from other playing, for facts about hearing."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from random import Random

import numpy as np

from companion.hearing.kept_voice import voice_from_bytes
from companion.hearing.learnt import Learnt
from companion.score.model import Tune
from tests.companion.hearing.microphone.room import voice_of
from tests.companion.listen.playing import tune_of
from tests.hearing.recording import TrueRecording
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.takes import cut, plain_take
from tests.learners.learner import Learner
from tests.learners.player import simulate

ON_E = "{g}e2{A}e2{g}e2{A}e2|{gef}e2{g}e2{gef}e4|"
"""One melody note, eight times."""

TEMPO = 70.0
CHANTER = 1
LEARNT_FROM_S = 12.0
SOFTER = np.float32(0.3)
"""The microphone stands further off than when the voice was learnt."""


def drill_tune() -> Tune:
    """The drill as a tune."""
    return tune_of(ON_E, f"1/4={TEMPO:g}")


@cache
def drill(source: SoundSource) -> TrueRecording:
    """It, played once without a fault."""
    take = simulate(drill_tune(), Learner(TEMPO, spread=0.0, drift=0.0), CHANTER)
    recording = sounding(cut("whole", take, 1_000.0, Random(0)), source, CHANTER)
    return replace(recording, samples=SOFTER * np.asarray(recording.samples, np.float32))


@cache
def kept_voice(source: SoundSource) -> bytes:
    """What was learnt of the same chanter from a tune, as it is kept."""
    return voice_of(sounding(plain_take(CHANTER, LEARNT_FROM_S), source, CHANTER))


def known_voice(source: SoundSource) -> Learnt:
    """The same, read back."""
    return voice_from_bytes(kept_voice(source))
