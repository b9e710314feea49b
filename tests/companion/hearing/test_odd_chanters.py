"""Chanters and playing as they are seldom met: out of tune by a tone, a drill on one note, a metronome beside."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from companion.hearing.hear import Samples, hear_samples
from companion.hearing.heard import HeardSound, SoundTrouble
from fingering.chart import chart
from fingering.holes import HoleState
from fingering.notes import Note
from tests.hearing.measures import HearingScore, score_of
from tests.hearing.recording import RATE_HZ, TrueRecording
from tests.hearing.sources.made import SoundSource, sounding, sounding_on
from tests.hearing.sources.tuned import draw_chanter
from tests.hearing.takes import SoundingTake, learners_take
from tests.hearing.truth import NoteClass, SoundingState

pytestmark = pytest.mark.same_everywhere

SEED, SECONDS = 3, 8.0
USUAL_LOW_A_HZ = 470.0
"""A pipe chanter's low A today is 470 to 480 Hz (Macpherson 1998, pipescale.html)."""

SOURCE = SoundSource.PRACTICE_VOICE


def out_of_tune(cents: float) -> TrueRecording:
    """A learner on a practice chanter whose low A lies so far from the usual one."""
    low_a_hz = SOURCE.octave * USUAL_LOW_A_HZ * 2.0 ** (cents / 1200.0)
    chanter = replace(draw_chanter(SEED, SOURCE.octave), low_a_hz=low_a_hz)
    return sounding_on(chanter, learners_take(SEED, SECONDS), SOURCE)


def score(found: HeardSound, recording: TrueRecording) -> HearingScore:
    """How right what was found is."""
    return score_of(recording.notes, [(each.at_s, each.stop_s, each.note) for each in found.notes])


@pytest.mark.parametrize("cents", [-270.0, 170.0])
def test_a_chanter_far_out_of_tune_is_heard(cents: float) -> None:
    """Every note of it, and how flat or sharp it is: low A as at 402 and at 518 Hz on the pipes."""
    recording = out_of_tune(cents)
    found = hear_samples(recording.samples, RATE_HZ)
    result = score(found, recording)
    assert result.f1(NoteClass.MELODY) == 1.0
    assert result.f1(NoteClass.GRACENOTE) >= 0.95
    assert abs(1200.0 * np.log2(found.low_a_hz / recording.low_a_hz)) < 15.0


def drill(onto: Note = Note.LOW_A) -> SoundingTake:
    """Ten G gracenotes of 50 ms on a low note, with the fingers of a gracenote."""
    held, grace = chart(onto), HoleState.parse("x oxx xxxo")
    segments, at_s = [], 0.5
    for state, length_s in [(held, 0.45), (grace, 0.05)] * 10 + [(held, 0.45)]:
        segments.append(SoundingState(at_s, at_s + length_s, state))
        at_s += length_s
    return replace(learners_take(SEED, SECONDS), name="drill", segments=tuple(segments), duration_s=at_s + 0.5)


@pytest.mark.parametrize("seed", [3, 12])
def test_a_drill_on_low_a_is_heard_as_that(seed: int) -> None:
    """All that is played is found, and by its names: with the place of the nine notes in doubt, low A lies where it
    mostly does."""
    recording = sounding(drill(), SOURCE, seed)
    found = hear_samples(recording.samples, RATE_HZ)
    assert len(found.notes) == len(recording.notes) == 21
    assert {each.note for each in found.notes[::2]} == {Note.LOW_A}


def test_a_drill_that_may_lie_a_note_higher_is_not_sure() -> None:
    """Held low G of a chanter whose low A is 484 Hz: what is held may be low A of a flatter one, and that is said."""
    chanter = replace(draw_chanter(SEED, SOURCE.octave), low_a_hz=SOURCE.octave * 484.0)
    recording = sounding_on(chanter, drill(Note.LOW_G), SOURCE)
    found = hear_samples(recording.samples, RATE_HZ)
    held = found.notes[::2]
    assert len(found.notes) == len(recording.notes) == 21
    assert len({each.note for each in held}) == 1
    assert all({Note.LOW_G, Note.LOW_A} <= {each.note, *each.others} for each in held)
    assert SoundTrouble.FEW_NOTES in found.troubles
    assert all(each.confidence <= 0.5 for each in found.notes)


def with_vibrato(samples: Samples, cents: float) -> Samples:
    """A sound whose pitch goes up and down by so much, five times a second."""
    hz, at_s = 5.0, np.arange(len(samples)) / RATE_HZ
    deep_s = cents * np.log(2.0) / 1200.0 / (2.0 * np.pi * hz)
    moved_s = at_s - deep_s * np.cos(2.0 * np.pi * hz * at_s)
    return np.asarray(np.interp(moved_s, at_s, samples), np.float32)


def test_a_wide_vibrato_is_heard_and_said() -> None:
    """Of 50 cents either way: no melody note is lost, and that short ones may be is said with the reason."""
    recording = sounding(learners_take(SEED, SECONDS), SOURCE, SEED)
    found = hear_samples(with_vibrato(recording.samples, 50.0), RATE_HZ)
    assert score(found, recording).f1(NoteClass.MELODY) == 1.0
    assert found.troubles == (SoundTrouble.WAVERING,)
    assert not found.short_sounds


def clicks(count: int) -> Samples:
    """A metronome at 75 beats a minute: 30 ms of 1 kHz that die away, 0.5 at most."""
    at_s = np.arange(count) / RATE_HZ % 0.8
    return (0.5 * np.sin(2.0 * np.pi * 1_000.0 * at_s) * np.exp(-at_s / 0.008)).astype(np.float32)


def test_a_metronome_beside_is_not_taken_for_playing() -> None:
    """As loud as the chanter, it takes away no note and adds no more than one."""
    recording = sounding(learners_take(SEED, SECONDS), SOURCE, SEED)
    found = hear_samples(recording.samples + clicks(len(recording.samples)), RATE_HZ)
    result = score(found, recording)
    assert result.f1(NoteClass.MELODY) == 1.0
    assert result.recall(NoteClass.GRACENOTE) >= 0.95
    assert len(found.notes) <= len(recording.notes) + 1
