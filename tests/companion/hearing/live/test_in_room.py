"""A chanter heard while it sounds in a room."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np

from companion.hearing.echoes.room import RoomEcho
from companion.hearing.echoes.room_costs import RoomCosts
from companion.hearing.live.follower import NoteFollower
from companion.hearing.live.live_note import LiveNote
from companion.hearing.live.teller import LiveTeller
from companion.hearing.live.way import LAG_FRAMES, LaggedRoomPathFinder, live_change_costs, names_of
from companion.hearing.path import NO_PITCH, HeardStretch
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
    """All melody notes and gracenotes; 95 % within 67 ms of sound, to which the way into the process adds 13."""
    (room,) = (each for each in CONDITIONS if each.name == "room 0.4 s")
    learnt = calibrated(recorded(sounding(scale_take(), SoundSource.PRACTICE_VOICE, DRAW), room, DRAW))
    assert learnt is not None
    assert learnt.echo is not None
    sound = recorded(recording(), room, DRAW)
    trial, _ = heard_live(sound, learnt)
    score = score_of(sound.notes, trial.events)
    assert score.f1(NoteClass.MELODY) >= 0.95
    assert score.f1(NoteClass.GRACENOTE) >= 0.95
    assert np.percentile(trial.latencies_s(sound.notes, after_s=1.0), 95.0) <= 0.067


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
    finder = LaggedRoomPathFinder(*live_change_costs(pitches, in_room=True), names_of(pitches))

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


def test_a_note_that_its_own_echo_weakens_goes_on() -> None:
    """A short silence in it that is likest to it is no other note, though no chanter is silent between two notes."""
    learnt = replace(voice(), echo=RoomEcho(share=0.5, decay_s=0.025))
    stretches = [gap(0, 50, Note.B, -1.0), gap(50, 70, Note.B, 3.0), gap(70, 100, Note.B, -1.0)]
    assert [each.note for each in LiveTeller(learnt).tell(stretches, None)] == [Note.B]
    dry = [each.note for each in LiveTeller(voice()).tell(stretches, None)]
    assert dry[0] is dry[2] is Note.B
    assert len(dry) == 3


def test_a_long_gap_in_a_room_that_may_as_well_be_a_note_is_that_note() -> None:
    """From 80 ms on, whichever note it is; where it becomes clear that nothing sounds, that is told, and later."""
    teller = LiveTeller(replace(voice(), echo=RoomEcho(share=0.5, decay_s=0.025)))
    told = [*teller.tell([gap(0, 50, Note.B, -1.0)], gap(50, 82, Note.B, 3.0))]
    told += teller.tell([gap(50, 90, Note.B, 3.0)], gap(90, 121, Note.LOW_G, 3.0))
    assert [each.note for each in told] == [Note.B]
    told += teller.tell([], gap(90, 122, Note.LOW_G, 3.0))
    told += teller.tell([], gap(90, 140, Note.LOW_G, 4.0))
    told += teller.tell([gap(90, 160, Note.LOW_G, 5.0)], gap(160, 200, Note.D, -1.0))
    assert [each.note for each in told] == [Note.B, Note.LOW_G, None, Note.D]
    assert all(one.at_s < two.at_s for one, two in pairwise(told))


def gap(first: int, stop: int, note: Note, more: float) -> HeardStretch:
    """A stretch that costs so much more a frame as a note than as silence: silence itself, or, if that is less, it."""
    costs = np.full(len(voice().voice.pitches) + 2, 60.0)
    costs[-1], costs[note] = 50.0, 50.0 + more
    pitch = NO_PITCH if more > 0.0 else int(note)
    return HeardStretch(pitch, first, stop, tuple(((stop - first) * costs).tolist()))
