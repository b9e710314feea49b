"""The chanter in a sound, learnt from pieces of it and what was known before; what is none is refused."""

from __future__ import annotations

import numpy as np

from companion.hearing.background import between_lines
from companion.hearing.intake.traits import SoundTraits
from companion.hearing.known_voice import found_in, on_grid, same_chanter, together
from companion.hearing.learning import learn
from companion.hearing.learnt import ENOUGH_TO_SEE, Learnt
from companion.hearing.pieces.without_drones import LearntPieces
from companion.hearing.spectra import Floats
from companion.hearing.troubles import (
    CLEAR_SHARE,
    CLEARLY_ALONE,
    LEAST_PLAYING_SHARE,
    PlayingWatcher,
    no_chanter,
    playing_ground,
    refuse_what_is_no_chanter,
)
from fingering.errors import UserError

SURE_NAMES = 5
"""A sound in which so many different notes are heard for long enough teaches by itself which they are."""


def learnt_of(first: LearntPieces, rate_hz: float, known: Learnt | None) -> tuple[Learnt, PlayingWatcher]:
    """The chanter learnt from the pieces of a sound, with what was known before, and its watcher.

    Raises UserError for what is no chanter.
    """
    pieces, ground = first.pieces.parts, first.floor
    try:
        learnt = _learnt_alone(first, rate_hz)
    except UserError:
        found = _found(known, pieces, rate_hz)
        if found is None:
            raise
        return found
    if known is not None:
        if not is_sure(learnt):
            found = _found(known, pieces, rate_hz)
            if found:
                return found
        elif same_chanter(learnt, known):
            learnt = together(learnt, on_grid(known, learnt.grid))
    return learnt, PlayingWatcher(learnt.scale, ground, rate_hz, learnt.voice)


def _found(known: Learnt | None, pieces: list[Floats], rate_hz: float) -> tuple[Learnt, PlayingWatcher] | None:
    """A known voice as it sounds in the pieces of a sound, and what will watch that; None where it does not."""
    with np.errstate(all="ignore"):
        found = found_in(known, pieces, rate_hz) if known and pieces else None
    if found is None:
        return None
    ground = playing_ground(pieces, rate_hz, between_lines)
    traits = PlayingWatcher(found.scale, ground, rate_hz)
    traits.take_in(np.concatenate(pieces))
    try:
        refuse_what_is_no_chanter(found, traits.traits())
    except UserError:
        return None
    return found, PlayingWatcher(found.scale, ground, rate_hz, found.voice)


def _learnt_alone(first: LearntPieces, rate_hz: float) -> Learnt:
    """The chanter learnt from a sound's pieces, of a chanter alone where something else sounds between its playing.

    Raises UserError for what is no chanter.
    """
    pieces, learnt = first.pieces.parts, first.learnt
    if learnt is None:
        raise no_chanter(SoundTraits(steady=1.0 if pieces else 0.0))
    watcher = PlayingWatcher(learnt.scale, first.floor, rate_hz)
    whole = np.concatenate(pieces)
    watcher.take_in(whole)
    traits = watcher.traits()
    playing = watcher.playing()
    share = sum(stop_s - begin_s for begin_s, stop_s in playing) * rate_hz / len(whole)
    if LEAST_PLAYING_SHARE < share < CLEAR_SHARE:
        parts = [whole[round(begin_s * rate_hz) : round(stop_s * rate_hz)] for begin_s, stop_s in playing]
        with np.errstate(all="ignore"):
            alone = learn(parts, rate_hz)
        if alone is not None:
            watcher = PlayingWatcher(alone.scale, playing_ground(parts, rate_hz), rate_hz)
            watcher.take_in(np.concatenate(parts))
            if watcher.traits().on_scale >= CLEARLY_ALONE:
                learnt, traits = alone, watcher.traits()
    return refuse_what_is_no_chanter(learnt, traits)


def is_sure(learnt: Learnt) -> bool:
    """Whether so much of a chanter was heard in one sound that it teaches all about it by itself."""
    seen = sum(frames >= ENOUGH_TO_SEE for frames in learnt.heard)
    return seen >= SURE_NAMES and learnt.scale.is_sure
