"""A chanter heard while it sounds: simulated learners made into sound, and what is none."""

from __future__ import annotations

import pickle
from dataclasses import replace

import numpy as np
import pytest

from companion.hearing.live.live_hearing import LiveHearing
from companion.hearing.live.live_note import HearingState
from fingering.notes import Note
from tests.companion.hearing.live.made import SECONDS, events, heard, quiet, recording, voice
from tests.hearing.conditions.microphone import resampled
from tests.hearing.conditions.noise import NoiseColour, noise_samples
from tests.hearing.live import heard_live
from tests.hearing.measures import score_of
from tests.hearing.recording import RATE_HZ, rms
from tests.hearing.truth import NoteClass


@pytest.mark.same_everywhere
def test_a_known_voice_is_heard_at_once_and_soon() -> None:
    """All melody notes and gracenotes; half of them within 45 ms of sound, 90 % within 60 (the goals that were set)."""
    trial, hearing = heard_live(recording(), voice())
    score = score_of(recording().notes, trial.events)
    assert score.f1(NoteClass.MELODY) >= 0.98
    assert score.f1(NoteClass.GRACENOTE) >= 0.95
    late_s = trial.latencies_s(recording().notes, after_s=1.0)
    assert len(late_s) > 20
    assert np.percentile(late_s, 50.0) <= 0.045
    assert np.percentile(late_s, 90.0) <= 0.060
    assert hearing.state is HearingState.HEARING


def test_an_unknown_voice_is_learnt_and_what_it_played_before_is_told() -> None:
    """After some five seconds; then nothing is lost of what was played meanwhile."""
    trial, hearing = heard_live(recording())
    score = score_of(recording().notes, trial.events)
    assert 4.0 < trial.voiced_s < SECONDS
    assert score.f1(NoteClass.MELODY) >= 0.95
    assert score.f1(NoteClass.GRACENOTE) >= 0.9
    assert hearing.share_learnt == 1.0


def test_states_follow_what_sounds() -> None:
    """Waiting in silence, learning once something tonal sounds; one job at a time, which can go to another process."""
    hearing = LiveHearing(RATE_HZ)
    hearing.hear(quiet(1.0))
    assert (hearing.state, hearing.share_learnt, hearing.next_job()) == (HearingState.WAITING, 0.0, None)
    assert hearing.level_db == pytest.approx(-80.0, abs=1.0)
    samples = recording().samples
    hearing.hear(samples[: 2 * RATE_HZ])
    assert hearing.state is HearingState.LEARNING
    assert 0.2 < hearing.share_learnt < 0.8
    hearing.hear(samples[2 * RATE_HZ :])
    job = hearing.next_job()
    assert job is not None
    assert hearing.next_job() is None
    hearing.take_in(pickle.loads(pickle.dumps(job))())
    assert hearing.learnt is not None
    assert hearing.next_job() is None
    assert (hearing.state, hearing.share_learnt) == (HearingState.HEARING, 1.0)


def test_the_size_of_blocks_changes_no_note() -> None:
    """Blocks of 37 ms, of a length that is no multiple of a frame, tell what blocks of 10 ms tell, to 15 ms: what is
    settled by force is settled by what is known by then."""
    one, other = (heard(recording().samples, voice(), block) for block in (480, 1777))
    assert [each.note for each in one] == [each.note for each in other]
    assert np.allclose([each.at_s for each in one], [each.at_s for each in other], atol=0.015)
    assert len(one) > 20


@pytest.mark.parametrize(("gain_db", "cents", "rate_hz"), [(-18.0, 0.0, 44_100), (6.0, 20.0, 48_000)])
def test_a_kept_voice_is_known_again(gain_db: float, cents: float, rate_hz: int) -> None:
    """Through a microphone that is turned down, at another sample rate, or grown warm by 20 cents."""
    faster = 2.0 ** (cents / 1200.0)
    at = np.arange(0.0, len(recording().samples) - 1.0, faster)
    samples = np.interp(at, np.arange(len(recording().samples)), recording().samples).astype(np.float32)
    samples = resampled(samples * np.float32(10.0 ** (0.05 * gain_db)), RATE_HZ, rate_hz)
    notes = [replace(each, at_s=each.at_s * faster) for each in heard(samples, voice(), rate_hz // 100, rate_hz)]
    score = score_of(recording().notes, events(notes))
    assert score.f1(NoteClass.MELODY) >= 0.95
    assert score.f1(NoteClass.GRACENOTE) >= 0.9


def test_silence_is_told_and_talk_and_knocks_are_no_notes() -> None:
    """After the last note comes silence; people at talk and knocks as loud as the chanter tell nothing more."""
    samples = recording().samples
    loud = np.float32(rms(samples))
    babble = loud * noise_samples(NoiseColour.BABBLE, 3 * RATE_HZ, RATE_HZ, 3)
    knocks = quiet(2.0)
    for begins in range(0, len(knocks) - 4_800, 4_800):
        knocks[begins : begins + 1_200] += loud * noise_samples(NoiseColour.WHITE, 1_200, RATE_HZ, begins)
    notes = heard(np.concatenate((samples + quiet(SECONDS)[: len(samples)], quiet(0.5), babble, knocks)), voice())
    last = max(rank for rank, each in enumerate(notes) if each.note is not None)
    assert notes[last].at_s < SECONDS
    assert notes[last + 1].note is None
    assert len(notes) == last + 2


def test_a_long_note_and_samples_that_are_no_numbers_do_no_harm() -> None:
    """A note held for twelve seconds does not become background, though some samples of it are spoilt."""
    times = np.arange(12 * RATE_HZ) / RATE_HZ
    hz, powers = voice().voice.hz[Note.E], voice().voice.harmonics[Note.E]
    samples = quiet(12.0)
    for rank, power in enumerate(powers[:12], 1):
        samples += (np.sqrt(power) * np.sin(2.0 * np.pi * rank * hz * times)).astype(np.float32)
    samples[50_000:50_100] = np.nan
    told = heard(samples, voice())
    assert {each.note for each in told} == {Note.E}
