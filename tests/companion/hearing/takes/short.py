"""A short recording for tests: a tune of four bars, and a learner's playing of it with faults, as a sound file."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from random import Random

import numpy as np
import soundfile

from companion.hearing.heard import HeardSound
from companion.hearing.takes.recordings import hear_recording
from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Played, Sounded
from companion.score.model import Tune
from fingering.notes import Note
from tests.companion.listen.playing import FOUR_BARS, tune_of
from tests.hearing.recording import Samples
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.takes import cut
from tests.learners.learner import Learner
from tests.learners.player import simulate

RATE_HZ = 48_000
LEAD_IN_S = 0.5
"""Silence before the first note."""


@dataclass(frozen=True, eq=False)
class ShortRecording:
    """A tune, how it sounds as it was played, and the same as MIDI events, in the time of the sound."""

    tune: Tune
    samples: Samples
    events: tuple[Played, ...]

    def write(self, path: Path) -> Path:
        """As a sound file of the kind that its ending says: WAV or FLAC."""
        soundfile.write(path, self.samples, RATE_HZ)
        return path


@cache
def short_recording() -> ShortRecording:
    """With wrong notes, which every hearing hears."""
    tune = tune_of(FOUR_BARS, "1/4=80")
    learner = Learner(80.0, spread=0.0, drift=0.0, faults=0.12, kinds=(FindingKind.WRONG_NOTE,))
    take = simulate(tune, learner, 1)
    made = cut("whole", take, 1_000.0, Random(0))
    recording = sounding(made, SoundSource.PRACTICE_VOICE, 3)
    events = tuple(_moved(each, -made.begins_s) for each in take.notes)
    return ShortRecording(tune, np.asarray(recording.samples, np.float32), events)


def _moved(event: Played, by_s: float) -> Played:
    return replace(event, at_s=event.at_s + by_s)


@cache
def heard_short() -> HeardSound:
    """What is heard in it; kept in the cache of all tests, so that the same file is heard there no second time."""
    with tempfile.TemporaryDirectory() as folder:
        return hear_recording(short_recording().write(Path(folder) / "short.wav")).heard


def first_notes(events: tuple[Played, ...], count: int) -> list[Note]:
    """The first notes of events."""
    return [each.note for each in events if isinstance(each, Sounded) and each.note is not None][:count]
