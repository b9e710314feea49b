"""How unlikely each moment of a sound in a room is, were it a pitch that begins, one that lasts, or none. Pure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from companion.hearing.echoes.changes import AGO_FRAMES, change_costs_at, going_on_costs
from companion.hearing.echoes.room import RoomEcho, echoed
from companion.hearing.likeness import (
    LOUD_SILENCE_COST,
    Workspace,
    not_its_own,
    of_each,
    of_frames,
    pitch_costs,
    silence_costs,
)
from companion.hearing.near_costs import TellsCosts, all_costs
from companion.hearing.spectra import Floats
from companion.hearing.voice import Templates

LATE_S = (0.060, 0.080, 0.120)
"""How long before a note that has lasted the echo beside it is looked for: something else sounded then, if anything
else echoes."""

LOUD_LATE_COST = 1.5
"""The cost of each dB by which a silence that has lasted is louder than an echo is by then."""

GOING_ON_COST = 0.7
"""The most that a note costs beside what is likeliest, while it goes on as it was: one that sways, as by vibrato in a
room, is still that note. By trial between 0.7 and 1.2."""

MOST_BEGUN_FRAMES = 24
"""A note has begun for 60 ms at most; then it lasts."""

BEGINS_BELOW_NATS = 10.0
"""No note begins where a change costs more than this beside what it costs anywhere: spectra change by 2 dB there."""

STILL_TOLD = 0.15
"""How much of what tells one lasting pitch from another is left of it then."""


@dataclass(frozen=True, slots=True, eq=False)
class RoomCosts:
    """How unlikely each frame is as each pitch, silence last, in tempered nats: begun, of those that have sounded for
    less than 60 ms, lasting, of those that have for more; both of shape (frames, pitches and silence). changing: what
    a change of note costs more at each frame than anywhere, shape (frames,). going_on: what at most the likeliest pitch
    costs that lasts, likewise, since what sounds is what sounded before."""

    begun: Floats
    lasting: Floats
    changing: Floats
    going_on: Floats

    @property
    def either(self) -> Floats:
        """The cost of each, however long it has sounded: what may be told of a frame by itself."""
        return np.minimum(self.begun, self.lasting)

    @property
    def on_the_way(self) -> Floats:
        """The cost of each that lasts, on a way that has been that pitch before: whatever goes on is likest to what it
        was likest to."""
        out = self.lasting.copy()
        pitches = out[:, :-1]
        more = np.float32(STILL_TOLD) * (pitches - pitches.min(axis=1, keepdims=True))
        out[:, :-1] = np.minimum(pitches, self.going_on[:, np.newaxis] + more)
        return out


def room_costs(
    powers: Floats,
    ground: Floats,
    echo: RoomEcho,
    steady: Templates,
    begun: Templates,
    own_db: float,
    hop_s: float,
    frames: slice,
    told: TellsCosts = all_costs,
) -> RoomCosts:
    """The costs of some of the frames; of the others, 120 ms before and 10 ms after them, only their sound counts.

    powers: shape (all frames, bins). ground: by bin, or by frame and bin. steady, begun: what is to be seen of each
    pitch that lasts, and that begins. told: whether all costs are told, or nearly.
    """
    soon = echoed(powers, echo, hop_s)[frames]
    late = echoed(powers, echo, hop_s, LATE_S)[frames]
    changes = change_costs_at(powers, ground)
    may_have_begun = _widened(changes < BEGINS_BELOW_NATS, MOST_BEGUN_FRAMES)[frames]
    changing = changes[frames]
    before = min(frames.start, max(AGO_FRAMES))
    looked_at = slice(frames.start - before, frames.stop)
    going_on = going_on_costs(powers[looked_at], ground if ground.ndim == 1 else ground[looked_at])[before:]
    powers = powers[frames]
    ground = ground if ground.ndim == 1 else ground[frames]
    foreign = not_its_own(steady, ground)
    softest = steady.powers.sum(axis=1).min()
    work = Workspace()
    # The same for all pitches; but rows that follow each other in memory are gone through in half of the time.
    by_pitch = np.tile(of_frames(ground, slice(0, 1)), (1, len(steady.powers), 1))

    def costs_begun(asked: NDArray[np.intp], pitches: NDArray[np.intp] | slice) -> Floats:
        # Whatever echoes as a note begins is another's; once it lasts, its own echo is in its template.
        noise = of_frames(ground, asked)[:, np.newaxis]
        besides = noise + soon[asked][:, np.newaxis]
        return pitch_costs(powers[asked], begun, own_db, noise, besides, work, pitches, in_room=True)

    def costs_lasting(asked: NDArray[np.intp], pitches: NDArray[np.intp] | slice) -> Floats:
        is_tiled = ground.ndim == 1 and isinstance(pitches, slice)
        noise = by_pitch if is_tiled else of_frames(ground, asked)[:, np.newaxis]
        others = of_each(foreign, pitches)
        besides = np.multiply(late[asked][:, np.newaxis], others, out=work.array(4, (len(asked), *others.shape[-2:])))
        besides += noise
        return pitch_costs(powers[asked], steady, own_db, noise, besides, work, pitches, in_room=True)

    every = np.arange(len(powers))
    old = np.empty((len(powers), len(steady.powers) + 1), np.float32)
    old[:, :-1] = told(costs_lasting, every)
    old[:, -1] = silence_costs(powers, of_frames(ground, every), late, softest, LOUD_LATE_COST)
    young = np.full_like(old, np.float32(np.inf))
    new = np.flatnonzero(may_have_begun)
    if len(new):
        young[new, :-1] = told(costs_begun, new, old[new, :-1])
        young[new, -1] = silence_costs(powers[new], of_frames(ground, new), soon[new], softest, LOUD_SILENCE_COST)
    least = np.minimum(young, old).min(axis=1)
    return RoomCosts(young, old, changing, np.maximum(going_on, least) + np.float32(GOING_ON_COST))


def _widened(where: NDArray[np.bool_], frames: int) -> NDArray[np.bool_]:
    """The frames in which something is true, and so many from each on."""
    since = np.arange(len(where)) - np.maximum.accumulate(np.where(where, np.arange(len(where)), -len(where) - frames))
    return np.asarray(since < frames)
