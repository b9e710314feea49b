"""A chanter heard in samples: simulated learners made into sound, and what is no chanter."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from companion.hearing.hear import Samples, SoundBlocks, hear, hear_samples, told
from companion.hearing.heard import HeardSound
from fingering.errors import UserError
from fingering.notes import Note
from tests.hearing.conditions.condition import RecordingCondition, recorded
from tests.hearing.conditions.drones import DroneSound
from tests.hearing.conditions.noise import BackgroundNoise, NoiseColour, noise_samples
from tests.hearing.measures import HearingScore, score_of
from tests.hearing.recording import RATE_HZ, TrueRecording
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.takes import learners_take
from tests.hearing.truth import NoteClass

DRAW, SECONDS = 3, 10.0
WHITE = RecordingCondition("white 15 dB", noise=BackgroundNoise(NoiseColour.WHITE, 15.0))
EIGHT_KHZ = RecordingCondition("8 kHz stereo", rate_hz=8_000, stereo=True)
DRONES = RecordingCondition("drones", drones=DroneSound())


@cache
def take(source: SoundSource, condition: RecordingCondition | None = None) -> TrueRecording:
    """Ten seconds of a steady learner, with faults."""
    dry = sounding(learners_take(DRAW, SECONDS), source, DRAW)
    return dry if condition is None else recorded(dry, condition, DRAW)


@cache
def heard(source: SoundSource, condition: RecordingCondition | None = None) -> HeardSound:
    """What is heard of it."""
    recording = take(source, condition)
    return hear_samples(recording.samples, recording.rate_hz)


def score(source: SoundSource, condition: RecordingCondition | None = None) -> HearingScore:
    """How right that is."""
    notes = [(each.at_s, each.stop_s, each.note) for each in heard(source, condition).notes]
    return score_of(take(source, condition).notes, notes)


@pytest.mark.same_everywhere
@pytest.mark.parametrize(
    ("source", "condition"),
    [
        (SoundSource.PRACTICE_VOICE, None),
        (SoundSource.PIPE_VOICE, WHITE),
        (SoundSource.PRACTICE_VOICE, EIGHT_KHZ),
    ],
)
def test_every_melody_note_and_gracenote_is_heard(source: SoundSource, condition: RecordingCondition | None) -> None:
    """None is missed and none made up, and onsets are right within 10 ms (the goals that were set, no source)."""
    result = score(source, condition)
    assert result.true[0] > 10
    assert result.f1(NoteClass.MELODY) == 1.0
    assert result.f1(NoteClass.GRACENOTE) >= 0.95
    assert result.onset_error_s(50.0) < 0.010
    assert result.onset_error_s(90.0) < 0.020


def test_the_tuning_is_heard() -> None:
    """Each note that was played is found within 5 cents of what it sounds, in a recording that drifts by 8."""
    recording, found = take(SoundSource.PRACTICE_VOICE), heard(SoundSource.PRACTICE_VOICE)
    assert abs(1200.0 * np.log2(found.low_a_hz / recording.low_a_hz)) < 12.0
    played = {each.note for each in recording.notes if each.counted is NoteClass.MELODY and each.length_s > 0.2}
    away = [1200.0 * np.log2(found.notes_hz[note] / recording.notes_hz[note]) for note in played]
    assert len(played) > 3
    assert max(map(abs, away)) < 12.0


def test_drones_are_told() -> None:
    """Where they sound, and not where they do not."""
    assert heard(SoundSource.PIPE_VOICE, DRONES).drones
    assert not heard(SoundSource.PRACTICE_VOICE).drones


def test_only_what_is_clear_is_fine() -> None:
    """Under drones gracenotes are not vouched for."""
    assert heard(SoundSource.PRACTICE_VOICE).fine
    assert not heard(SoundSource.PIPE_VOICE, DRONES).fine


def test_the_size_of_blocks_changes_nothing() -> None:
    """A sound in small blocks is heard as it is in one."""
    recording = take(SoundSource.PRACTICE_VOICE)
    parts = [recording.samples[at : at + 30_011] for at in range(0, len(recording.samples), 30_011)]
    shares: list[float] = []
    found = hear(SoundBlocks(recording.rate_hz, lambda: parts), shares.append)
    assert found.notes == heard(SoundSource.PRACTICE_VOICE).notes
    assert shares[-1] == 1.0
    assert told(recording.samples, recording.rate_hz)[0][2] is found.notes[0].note


@pytest.mark.parametrize(
    ("samples", "words"),
    [
        (np.zeros(0, np.float32), "empty"),
        (np.zeros(RATE_HZ, np.float32), "nothing is to be heard"),
        (np.full(50, 0.1, np.float32), "nothing is to be heard"),
        (0.1 * noise_samples(NoiseColour.WHITE, 4 * RATE_HZ, RATE_HZ, 1), "no chanter"),
        (0.1 * noise_samples(NoiseColour.BABBLE, 8 * RATE_HZ, RATE_HZ, 1), "no chanter"),
    ],
)
def test_what_is_no_chanter_is_refused_in_one_line(samples: Samples, words: str) -> None:
    """Nothing, silence, next to nothing, noise, people at talk."""
    with pytest.raises(UserError, match=words) as caught:
        hear_samples(samples, RATE_HZ)
    assert "\n" not in str(caught.value)


def test_samples_that_are_no_numbers_count_as_silence() -> None:
    """A spoilt file may hold them."""
    samples = take(SoundSource.PRACTICE_VOICE).samples.copy()
    samples[1_000:1_050] = np.nan
    notes = {each.note for each in hear_samples(samples, RATE_HZ).notes}
    assert {each.note for each in heard(SoundSource.PRACTICE_VOICE).notes} <= notes | {Note.HIGH_A}
