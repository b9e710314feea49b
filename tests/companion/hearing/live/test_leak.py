"""What our own loudspeaker plays, heard by the microphone: it is no playing."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from companion.hearing.live.live_hearing import LiveHearing
from companion.hearing.live.live_note import LiveNote
from tests.companion.hearing.live.made import events, quiet, recording, voice
from tests.hearing.conditions.room import RecordingRoom, in_room
from tests.hearing.measures import score_of
from tests.hearing.recording import RATE_HZ, Samples, rms
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.takes import learners_take
from tests.hearing.truth import NoteClass

pytestmark = pytest.mark.same_everywhere

DELAY_S = 0.130
OURS_DRAW = 6
SECONDS = 8.0


@cache
def ours() -> Samples:
    """What we play: another tune on another chanter."""
    return sounding(learners_take(OURS_DRAW, SECONDS), SoundSource.PRACTICE_VOICE, OURS_DRAW).samples


@cache
def ours_in_room() -> Samples:
    """How that sounds in a room, made once."""
    return in_room(ours(), RATE_HZ, RecordingRoom(0.4), 5)


def leaked(level_db: float) -> Samples:
    """What of it comes to the microphone: late, through a room, so loud against the learner."""
    heard = ours_in_room()
    gain = rms(recording().samples) / rms(heard) * 10.0 ** (0.05 * level_db)
    late = np.concatenate((np.zeros(round(DELAY_S * RATE_HZ), np.float32), np.float32(gain) * heard))
    return late[: len(ours())]


def told(samples: Samples, *, says: bool) -> tuple[list[LiveNote], LiveHearing]:
    """What is told of samples while we play. says: whether we say what we play."""
    hearing = LiveHearing(RATE_HZ, voice())
    notes: list[LiveNote] = []
    playing = ours()
    for first in range(0, len(samples), 480):
        if says:
            hearing.leak(playing[first : first + 480], first / RATE_HZ)
        notes += hearing.hear(samples[first : first + 480])
    return notes, hearing


def test_what_leaks_is_not_told_as_playing() -> None:
    """Two notes of it are at most, and how late it comes is found to 5 ms; without a word from us it is all told."""
    alone = leaked(-6.0) + quiet(SECONDS)[: len(ours())]
    notes, hearing = told(alone, says=True)
    assert hearing.leak_delay_s is not None
    assert abs(hearing.leak_delay_s - DELAY_S) < 0.005
    assert len([each for each in notes if each.note is not None]) <= 2
    unsaid, _ = told(alone, says=False)
    assert len([each for each in unsaid if each.note is not None]) > 10


@pytest.mark.parametrize("level_db", [-6.0, 0.0])
def test_the_learner_is_heard_while_we_play(level_db: float) -> None:
    """Another tune, half as loud as the learner or as loud, takes few notes from them and adds few."""
    samples = recording().samples
    count = min(len(samples), len(ours()))
    mixed = samples[:count] + leaked(level_db)[:count] + quiet(SECONDS)[:count]
    notes, _ = told(mixed, says=True)
    score = score_of(recording().notes, events(notes))
    assert score.f1(NoteClass.MELODY) >= 0.95
    assert score.f1(NoteClass.GRACENOTE) >= 0.85
