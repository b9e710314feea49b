"""A chanter heard while it sounds in a room."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np

from companion.hearing.echoes.room import RoomEcho
from companion.hearing.echoes.room_costs import RoomCosts
from companion.hearing.live.follower import NoteFollower
from companion.hearing.live.live_note import LiveNote
from companion.hearing.live.way import LAG_FRAMES, LaggedRoomPathFinder, live_change_costs
from companion.hearing.spectra import Thinner, power_spectra
from fingering.notes import Note
from tests.companion.hearing.live.made import DRAW, SECONDS, events, recording, voice
from tests.hearing.conditions.condition import CONDITIONS, recorded
from tests.hearing.live import heard_live
from tests.hearing.live_table import calibrated, scale_take
from tests.hearing.measures import score_of
from tests.hearing.recording import RATE_HZ
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.truth import NoteClass


def test_a_known_voice_is_heard_in_a_room_and_soon() -> None:
    """All melody notes and gracenotes; 95 % of them within 75 ms of sound, with an echo louder than the chanter."""
    (room,) = (each for each in CONDITIONS if each.name == "room 0.4 s")
    learnt = calibrated(recorded(sounding(scale_take(), SoundSource.PRACTICE_VOICE, DRAW), room, DRAW))
    assert learnt is not None
    assert learnt.echo is not None
    sound = recorded(recording(), room, DRAW)
    trial, _ = heard_live(sound, learnt)
    score = score_of(sound.notes, trial.events)
    assert score.f1(NoteClass.MELODY) >= 0.95
    assert score.f1(NoteClass.GRACENOTE) >= 0.95
    assert np.percentile(trial.latencies_s(sound.notes, after_s=1.0), 95.0) <= 0.075


def test_a_room_that_is_found_or_given_up_ends_no_note() -> None:
    """What sounds goes on, and nothing is lost or told twice, where a voice that is learnt anew has another room."""
    learnt = voice()
    powers = power_spectra(Thinner(RATE_HZ).thin(recording().samples), learnt.grid)
    follower = NoteFollower(learnt)
    rooms = (RoomEcho(share=0.3, decay_s=0.02), None)
    told: list[LiveNote] = []
    for rank, first in enumerate(range(0, len(powers), 4)):
        told += follower.hear(powers[first : first + 4])
        if rank % 100 == 99:
            follower.relearn(replace(learnt, echo=rooms[rank // 100 % 2]))
    assert all(one.note is not two.note and one.at_s < two.at_s for one, two in pairwise(told))
    score = score_of(recording().notes, events(told, SECONDS))
    assert score.f1(NoteClass.MELODY) >= 0.95
    assert score.f1(NoteClass.GRACENOTE) >= 0.9


def test_a_way_in_a_room_is_settled_soon_where_it_is_clear_and_after_40_ms_where_not() -> None:
    """That a pitch may have begun at several moments, or lasts, keeps none of its frames waiting."""
    pitches = voice().voice.pitches
    finder = LaggedRoomPathFinder(*live_change_costs(pitches, in_room=True))

    def go_on(frames: int, *likely: Note) -> int:
        costs = np.full((frames, len(pitches) + 2), 20.0, np.float32)
        costs[:, list(likely)] = 1.0
        nothing = np.zeros(frames, np.float32)
        list(finder.go_on(RoomCosts(costs, costs.copy(), nothing, nothing + np.float32(np.inf))))
        assert finder.open is not None
        return finder.open.stop

    assert go_on(40, Note.D) >= 38
    assert finder.open is not None
    assert finder.open.pitch == Note.D
    assert go_on(8, Note.E) >= 46
    assert finder.open.pitch == Note.E
    assert 108 > go_on(60, Note.D, Note.F) >= 108 - LAG_FRAMES
