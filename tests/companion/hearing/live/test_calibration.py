"""A scale played once, from which a voice is learnt whole."""

from __future__ import annotations

import numpy as np
import pytest

from companion.hearing.live.calibration import NOT_THE_SCALE, ScaleCalibration
from fingering.notes import Note
from tests.companion.hearing.live.made import DRAW, quiet
from tests.hearing.conditions.condition import RecordingCondition, recorded
from tests.hearing.conditions.drones import DroneSound
from tests.hearing.live_table import scale_take
from tests.hearing.recording import RATE_HZ, Samples
from tests.hearing.sources.made import SoundSource, sounding

pytestmark = pytest.mark.same_everywhere


def hear(calibration: ScaleCalibration, samples: Samples) -> list[tuple[Note | None, int]]:
    """What is wanted next and how many notes are known, each time that it changes."""
    said: list[tuple[Note | None, int]] = []
    for first in range(0, len(samples), 960):
        calibration.hear(samples[first : first + 960])
        now = (calibration.wanted, len(calibration.known))
        if not said or said[-1] != now:
            said.append(now)
    return said


@pytest.mark.parametrize("source", [SoundSource.PRACTICE_VOICE, SoundSource.GM_OBOE])
def test_each_note_is_known_as_it_is_held_and_all_are_learnt(source: SoundSource) -> None:
    """From low G to high A each next note is wanted; in the end all nine are learnt, within 20 cents."""
    recording = sounding(scale_take(), source, DRAW)
    calibration = ScaleCalibration(RATE_HZ)
    assert calibration.wanted is Note.LOW_G
    assert calibration.next_job() is None
    said = hear(calibration, recording.samples)
    assert said == [*((note, int(note)) for note in Note), (None, 9)]
    job = calibration.next_job()
    assert job is not None
    calibration.take_in(job())
    assert calibration.learnt is not None
    assert min(calibration.learnt.heard) > 100
    away = 1200.0 * np.log2(calibration.learnt.voice.hz[:9] / np.array(recording.notes_hz))
    assert np.abs(away).max() < 20.0


def test_drones_that_sound_before_the_scale_are_no_note() -> None:
    """As on a pipe, whose drones sound first; the note that sounds is named while it is held."""
    drones = RecordingCondition("drones", drones=DroneSound())
    samples = recorded(sounding(scale_take(), SoundSource.PIPE_VOICE, DRAW), drones, DRAW).samples
    calibration = ScaleCalibration(RATE_HZ)
    calibration.hear(samples[: round(0.45 * RATE_HZ)])
    assert calibration.known == ()
    calibration.hear(samples[round(0.45 * RATE_HZ) : round(2.3 * RATE_HZ)])
    assert calibration.sounding is Note.LOW_A
    calibration.hear(samples[round(2.3 * RATE_HZ) :])
    assert calibration.known == tuple(Note)


def test_what_was_not_learnt_is_wanted_again_and_what_is_no_scale_begins_anew() -> None:
    """Silence wants low G still; a scale that no chanter can be learnt from is to be played again."""
    calibration = ScaleCalibration(RATE_HZ)
    hear(calibration, quiet(2.0))
    assert (calibration.wanted, calibration.known) == (Note.LOW_G, ())
    hear(calibration, sounding(scale_take(), SoundSource.PRACTICE_VOICE, DRAW).samples[: 4 * RATE_HZ])
    assert calibration.wanted is Note.C
    calibration.take_in(None)
    assert (calibration.wanted, calibration.trouble) == (Note.LOW_G, NOT_THE_SCALE)
