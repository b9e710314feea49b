"""The likeliest way through frames by what was learnt of a chanter, and what each of them costs."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import numpy as np
from numpy.typing import NDArray

from companion.hearing.echoes.beginnings import expected_beginnings
from companion.hearing.echoes.room import RoomEcho
from companion.hearing.echoes.room_costs import RoomCosts, room_costs
from companion.hearing.echoes.room_path import RoomPathFinder
from companion.hearing.learnt import Learnt
from companion.hearing.likeness import Workspace, costs_of, noise_costs, pitch_costs
from companion.hearing.near_costs import PairCosts, TellsCosts, all_costs, near_costs
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
        steady, work = learnt.ground[np.newaxis, np.newaxis], Workspace()

        def costs_of_pairs(frames: NDArray[np.intp], pitches: NDArray[np.intp] | slice) -> Floats:
            return pitch_costs(powers[frames], templates, learnt.own_db, steady, steady, work, pitches)

        return _dry_way(powers, learnt, costs_of_pairs)
    in_room = RoomPathFinder(*change_costs(learnt.voice.pitches, in_room=True))
    every, told = slice(0, len(powers)), partial(near_costs, change_nats=CHANGE_IN_ROOM_COST)
    begun = begun_templates(learnt, templates)
    in_room.take_in(frame_costs_in_room(powers, learnt, templates, begun, learnt.echo, every, told))
    return in_room.whole_way()


def rough_walk(powers: Floats, learnt: Learnt) -> list[HeardStretch]:
    """As `walk` where no room echoes, but for one frame in a thousand: for what needs to know nearly where notes are,
    and teaches nothing of them."""
    if not len(powers):
        return []
    return _dry_way(powers, learnt, _tables(powers, learnt, templates_of(learnt.voice, learnt.grid)))


def _dry_way(powers: Floats, learnt: Learnt, costs: PairCosts) -> list[HeardStretch]:
    finder = PathFinder(*change_costs(learnt.voice.pitches))
    by_pitch = near_costs(costs, np.arange(len(powers)), change_nats=CHANGE_COST)
    finder.take_in(_with_noise(by_pitch, powers, learnt))
    return finder.whole_way()


def frame_costs(powers: Floats, learnt: Learnt, templates: Templates) -> Floats:
    """The costs of frames as each pitch, and last as silence, where no room echoes."""
    costs = costs_of(powers, learnt.ground, templates, learnt.own_db)
    costs.by_pitch[:, len(Note) :] += np.float32(FALSE_COST)
    return costs.together


def frame_costs_by_tables(powers: Floats, learnt: Learnt, templates: Templates) -> Floats:
    """As `frame_costs`, of many frames over one ground: to 0.2 nats."""
    return _with_noise(all_costs(_tables(powers, learnt, templates), np.arange(len(powers))), powers, learnt)


def _tables(powers: Floats, learnt: Learnt, templates: Templates) -> LevelTables:
    return LevelTables(powers, learnt.ground, templates, learnt.own_db)


def _with_noise(by_pitch: Floats, powers: Floats, learnt: Learnt) -> Floats:
    """What frames cost as each pitch, and last as silence. by_pitch: as each pitch, were none false."""
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
