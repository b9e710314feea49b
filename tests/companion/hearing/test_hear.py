"""A chanter heard in samples: simulated learners made into sound, and what is no chanter."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from companion.hearing.hear import Samples, SoundBlocks, hear, hear_samples, told
from companion.hearing.heard import HeardSound, SoundTrouble
from fingering.errors import UserError
from fingering.notes import HARMONIC, Note
from tests.hearing.conditions.condition import RecordingCondition, recorded
from tests.hearing.conditions.drones import DroneSound
from tests.hearing.conditions.noise import BackgroundNoise, NoiseColour, noise_samples
from tests.hearing.measures import HearingScore, score_of
from tests.hearing.others import song_on_a_vowel
from tests.hearing.recording import RATE_HZ, TrueRecording
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.takes import learners_take
from tests.hearing.truth import NoteClass

DRAW, SECONDS = 3, 10.0
WHITE = RecordingCondition("white 15 dB", noise=BackgroundNoise(NoiseColour.WHITE, 15.0))
EIGHT_KHZ = RecordingCondition("8 kHz stereo", rate_hz=8_000, stereo=True)
SINKS_DB_S = 20.0
"""How fast a plucked string dies away: a piano's in this octave by some 12 (FluidR3, measured), a guitar's by 40."""

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


@pytest.mark.same_everywhere
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


@pytest.mark.same_everywhere
def test_only_what_is_clear_is_fine() -> None:
    """Under drones, where short sounds are heard, they are not vouched for everywhere."""
    assert heard(SoundSource.PRACTICE_VOICE).fine
    under_drones = heard(SoundSource.PIPE_VOICE, DRONES)
    assert not under_drones.fine
    assert under_drones.short_sounds
    assert under_drones.evidence is not None
    assert len(under_drones.evidence.costs()) == pytest.approx(under_drones.duration_s * 400.0, rel=0.02)


@pytest.mark.same_everywhere
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
        (0.1 * noise_samples(NoiseColour.WHITE, 4 * RATE_HZ, RATE_HZ, 1), "one steady sound"),
        (0.1 * noise_samples(NoiseColour.BABBLE, 8 * RATE_HZ, RATE_HZ, 1), "no chanter"),
    ],
)
def test_what_is_no_chanter_is_refused_in_one_line(samples: Samples, words: str) -> None:
    """Nothing, silence, next to nothing, noise, people at talk."""
    with pytest.raises(UserError, match=words) as caught:
        hear_samples(samples, RATE_HZ)
    assert "\n" not in str(caught.value)


def decaying(seconds: float) -> Samples:
    """The notes of a chanter as a string that is plucked would sound them: its nine pitches, dying away."""
    low_a_hz, at = 470.0, np.arange(round(0.4 * RATE_HZ)) / RATE_HZ
    order = np.random.default_rng(5).integers(0, len(Note), round(seconds / 0.4))
    plucked = [
        sum(np.sin(2.0 * np.pi * rank * low_a_hz * HARMONIC.ratio(Note(note)) * at) / rank for rank in range(1, 9))
        * 10.0 ** (-SINKS_DB_S * at / 20.0)
        for note in order
    ]
    return (0.2 * np.concatenate(plucked)).astype(np.float32)


def test_what_dies_away_is_no_chanter() -> None:
    """A chanter's notes sound as long as it is blown: a string of its pitches is refused, unless it never dies away."""
    with pytest.raises(UserError, match="no chanter"):
        hear_samples(decaying(8.0), RATE_HZ)


@pytest.mark.same_everywhere
def test_a_song_on_a_vowel_is_no_chanter() -> None:
    """Though its notes are a major scale's: it glides from each to the next."""
    with pytest.raises(UserError, match="no chanter"):
        hear_samples(song_on_a_vowel(5), RATE_HZ)


def test_one_note_that_never_stops_is_refused_as_that() -> None:
    """A single long note cannot be told from what sounds all the time, and what to do is said."""
    at = np.arange(5 * RATE_HZ) / RATE_HZ
    note = np.sum([np.sin(2.0 * np.pi * rank * 233.0 * at) / rank for rank in range(1, 16, 2)], axis=0)
    with pytest.raises(UserError, match=r"one steady sound .*several notes"):
        hear_samples((0.2 * note).astype(np.float32), RATE_HZ)


@pytest.mark.same_everywhere
def test_talk_between_playing_is_left_out() -> None:
    """A teacher talks, then plays: nearly all notes are heard as they were without the talk, and none in it."""
    dry = take(SoundSource.PRACTICE_VOICE)
    talk = (0.1 * noise_samples(NoiseColour.BABBLE, 5 * RATE_HZ, RATE_HZ, 3)).astype(np.float32)
    found = hear_samples(np.concatenate((talk, dry.samples, talk)), RATE_HZ)
    assert SoundTrouble.LEFT_OUT in found.troubles
    assert found.notes[0].at_s > 4.9
    assert found.notes[-1].stop_s < 5.1 + dry.duration_s
    notes = [(each.at_s - 5.0, each.stop_s - 5.0, each.note) for each in found.notes]
    assert score_of(dry.notes, notes).f1(NoteClass.MELODY) > 0.95
    assert SoundTrouble.LEFT_OUT not in heard(SoundSource.PRACTICE_VOICE).troubles


def test_channels_that_cancel_each_other_are_heard() -> None:
    """Of two of which one is wired the wrong way round one is heard, as it is alone."""
    samples = take(SoundSource.PRACTICE_VOICE).samples
    found = hear_samples(np.stack((samples, -samples), axis=1), RATE_HZ)
    assert found.notes == heard(SoundSource.PRACTICE_VOICE).notes


def test_samples_that_are_no_numbers_count_as_silence() -> None:
    """A spoilt file may hold them."""
    samples = take(SoundSource.PRACTICE_VOICE).samples.copy()
    samples[1_000:1_050] = np.nan
    notes = {each.note for each in hear_samples(samples, RATE_HZ).notes}
    assert {each.note for each in heard(SoundSource.PRACTICE_VOICE).notes} <= notes | {Note.HIGH_A}
