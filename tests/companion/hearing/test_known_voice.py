"""A sound too short to teach its chanter is heard by what was learnt of it before."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from companion.hearing.hear import SoundBlocks, hear
from companion.hearing.heard import HeardSound, SoundTrouble
from companion.hearing.takes.judging import judge_heard
from fingering.errors import UserError
from tests.companion.hearing.drills import drill, drill_tune, known_voice
from tests.hearing.conditions.noise import NoiseColour, noise_samples
from tests.hearing.measures import HearingScore, score_of
from tests.hearing.recording import RATE_HZ, Samples
from tests.hearing.sources.made import SoundSource
from tests.hearing.truth import NoteClass

pytestmark = pytest.mark.same_everywhere

PIPE, PRACTICE = SoundSource.PIPE_VOICE, SoundSource.PRACTICE_VOICE


def blocks(samples: Samples) -> SoundBlocks:
    """Samples as a sound."""
    return SoundBlocks(RATE_HZ, lambda: (samples,), len(samples))


@cache
def heard(voice_of: SoundSource | None) -> HeardSound:
    """What is heard of the drill on a pipe chanter, by no voice or that of a chanter."""
    return hear(blocks(drill(PIPE).samples), known=known_voice(voice_of) if voice_of else None)


def score(voice_of: SoundSource | None) -> HearingScore:
    """How right that is."""
    return score_of(drill(PIPE).notes, [(each.at_s, each.stop_s, each.note) for each in heard(voice_of).notes])


def test_a_drill_on_one_note_is_heard_whole_by_a_voice_that_is_known() -> None:
    """Though it is softer than when it was learnt. Alone it teaches too little: some gracenotes are lost."""
    assert score(PIPE).f1(NoteClass.MELODY) == score(PIPE).f1(NoteClass.GRACENOTE) == 1.0
    assert score(None).f1(NoteClass.GRACENOTE) < 0.9


def test_played_without_a_fault_it_draws_no_finding() -> None:
    """Nor any doubt of which notes they are."""
    assert judge_heard(drill_tune(), heard(PIPE)).findings == ()
    assert SoundTrouble.FEW_NOTES not in heard(PIPE).troubles
    assert not any(each.others for each in heard(PIPE).notes if each.length_s > 0.1)


def test_the_voice_of_another_chanter_changes_nothing() -> None:
    """The sound is heard as by itself."""
    assert heard(PRACTICE) == heard(None)


def test_what_is_no_chanter_is_refused_whatever_voice_is_known() -> None:
    """Noise stays noise."""
    noise = 0.1 * noise_samples(NoiseColour.WHITE, 3 * RATE_HZ, RATE_HZ, 1)
    with pytest.raises(UserError):
        hear(blocks(noise.astype(np.float32)), known=known_voice(PIPE))
