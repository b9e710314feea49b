"""The likeliest way through frames by what was learnt of a chanter, and what each of them costs."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import numpy as np

from companion.hearing.echoes.beginnings import expected_beginnings
from companion.hearing.echoes.room import RoomEcho
from companion.hearing.echoes.room_costs import RoomCosts, room_costs
from companion.hearing.echoes.room_path import RoomPathFinder
from companion.hearing.learnt import Learnt
from companion.hearing.likeness import costs_of, noise_costs
from companion.hearing.near_costs import TellsCosts, all_costs, near_costs
from companion.hearing.path import HeardStretch, PathFinder
from companion.hearing.spectra import Floats
from companion.hearing.voice import AudiblePitch, Templates, templates_of
from companion.hearing.walks.level_tables import LevelTables
from fingering.notes import Note

GRACENOTE_COST = {Note.HIGH_G: -3.0, Note.D: -1.0}
RARE_COST = 5.0
FALSE_COST = 0.1
"""The false fingerings of high G and D, whose fingers make most gracenotes, begin more easily than any note, the others
less; none of them lasts: what each frame of one costs."""

LASTING_FALSE_COST = 3.0
"""In a room, where it may be an octave's echo that makes a note like one, nothing but what has just begun is a false
fingering."""

CHANGE_COST, CHANGE_IN_ROOM_COST = 8.0, 5.5
"""The cost of a change of note, by trial: in a room less, where the first 20 ms of a note, before its own echo can be
taken for that of an earlier one, are nearly all that tells it."""


def walk(powers: Floats, learnt: Learnt) -> list[HeardStretch]:
    """The likeliest way through frames, by what is learnt; not what it costs."""
    if not len(powers):
        return []
    templates = templates_of(learnt.voice, learnt.grid)
    if learnt.echo is None:
        finder = PathFinder(*change_costs(learnt.voice.pitches))
        dry = partial(near_costs, change_nats=CHANGE_COST)
        finder.take_in(frame_costs_by_tables(powers, learnt, templates, dry))
        return finder.whole_way()
    in_room = RoomPathFinder(*change_costs(learnt.voice.pitches, in_room=True))
    every, told = slice(0, len(powers)), partial(near_costs, change_nats=CHANGE_IN_ROOM_COST)
    begun = begun_templates(learnt, templates)
    in_room.take_in(frame_costs_in_room(powers, learnt, templates, begun, learnt.echo, every, told))
    return in_room.whole_way()


def frame_costs(powers: Floats, learnt: Learnt, templates: Templates) -> Floats:
    """The costs of frames as each pitch, and last as silence, where no room echoes."""
    costs = costs_of(powers, learnt.ground, templates, learnt.own_db)
    costs.by_pitch[:, len(Note) :] += np.float32(FALSE_COST)
    return costs.together


def frame_costs_by_tables(powers: Floats, learnt: Learnt, templates: Templates, told: TellsCosts = all_costs) -> Floats:
    """As `frame_costs`, of many frames over one ground: to 0.1 nats."""
    costs = LevelTables(powers, learnt.ground, templates, learnt.own_db)
    by_pitch = told(costs, np.arange(len(powers)))
    by_pitch[:, len(Note) :] += np.float32(FALSE_COST)
    return np.concatenate((by_pitch, noise_costs(powers, learnt.ground)[:, np.newaxis]), axis=1)


def begun_templates(learnt: Learnt, templates: Templates) -> Templates:
    """The templates of pitches that have just begun in a room: as was learnt, or else as is expected of any."""
    beginnings = learnt.beginnings or expected_beginnings(templates)
    return beginnings.templates(templates, learnt.ground, learnt.voice, learnt.grid)


def frame_costs_in_room(
    powers: Floats,
    learnt: Learnt,
    templates: Templates,
    begun: Templates,
    echo: RoomEcho,
    frames: slice,
    told: TellsCosts = all_costs,
) -> RoomCosts:
    """The costs of some of the frames, as `room_costs` has them, where false fingerings are but short."""
    costs = room_costs(powers, learnt.ground, echo, templates, begun, learnt.own_db, learnt.grid.hop_s, frames, told)
    costs.lasting[:, len(Note) : -1] += np.float32(LASTING_FALSE_COST)
    return costs


def change_costs(pitches: Sequence[AudiblePitch], *, in_room: bool = False) -> tuple[Floats, Floats]:
    """The costs of leaving and of entering each pitch, and silence last."""
    half = np.full(len(pitches) + 1, 0.5 * (CHANGE_IN_ROOM_COST if in_room else CHANGE_COST), np.float32)
    entering = half.copy()
    for rank, each in enumerate(pitches):
        if not each.plain:
            entering[rank] += GRACENOTE_COST.get(each.note, RARE_COST)
    return half, entering
