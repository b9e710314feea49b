"""How loud F and high G are foretold to be in a room whose echo does not just die away."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from companion.hearing.echoes.room import RoomEcho
from companion.hearing.notes.runs.near_parts import GAIN_NATS
from companion.hearing.notes.runs.near_runs import NearRun
from companion.hearing.notes.runs.run_model import Names, RunModel, decibels, model_of

pytestmark = pytest.mark.same_everywhere

STEP_S = 0.005
ECHO = RoomEcho(share=0.5, decay_s=0.025)
BARE_DB, FALL_DB, LEAST_DB = -3.0, 1.0, -30.0
"""What is left of a note as it gives way to the other, how much of that is gone after each step, and what always is."""

BACK_DB, BACK_STEPS = 7.0, slice(5, 10)
"""A wall's reflection: by how much louder the note is again, 25 to 50 ms after it gave way."""

LONG, SHORT = 60, 9


def names_of(*steps: int) -> Names:
    """F for so many steps, then high G, and so on by turns."""
    return np.repeat(np.arange(len(steps)) % 2, steps)


def run_of(names: Names) -> NearRun:
    """A run of both: of each how loud it is, 0 dB while it sounds."""
    changes = np.flatnonzero(np.diff(names)) + 1
    steps = np.arange(len(names))
    lag = steps - np.maximum.accumulate(np.where(np.isin(steps, changes), steps, 0))
    back = np.zeros(len(names))
    back[(lag >= BACK_STEPS.start) & (lag < BACK_STEPS.stop)] = BACK_DB
    left_db = np.maximum(BARE_DB - FALL_DB * lag + back, LEAST_DB)
    later = steps >= changes[0]
    db = np.where(names[:, np.newaxis] == np.arange(2), 0.0, np.where(later, left_db, LEAST_DB)[:, np.newaxis])
    return NearRun(0, 0, (1e-3, 1e-3), (10.0 ** (db / 10.0)).astype(np.float32))


RUNS = [(run_of(names), names) for names in [names_of(LONG, SHORT, LONG), names_of(LONG, LONG, LONG)] * 8]


def model() -> RunModel:
    """What is learnt of the room."""
    found = model_of(RUNS, ECHO, STEP_S)
    assert found is not None
    return found


def test_what_has_given_way_is_foretold_as_loud_as_it_was_after_others() -> None:
    """The reflection of a high G is its own, though the echo that was learnt falls steadily."""
    names = names_of(LONG, SHORT, LONG)
    run = run_of(names)
    after = slice(LONG + SHORT, LONG + SHORT + 15)
    foretold = model().expected_db(run, names[np.newaxis])[0][after, 1]
    assert foretold == pytest.approx(decibels(run.levels)[after, 1], abs=2.5)


def test_a_reflection_speaks_less_for_the_note_anew() -> None:
    """Than where it is not known how loud a note is once it gave way: by half of what a run is parted anew for."""
    names = names_of(LONG, SHORT, LONG)
    anew = names.copy()
    anew[LONG + SHORT :][BACK_STEPS] = 1

    def nats_against(room: RunModel) -> float:
        cost, other = room.costs(run_of(names), np.stack((names, anew)))
        return float(other - cost)

    known = model()
    unknown = replace(known, ended_db=np.zeros_like(known.ended_db))
    assert nats_against(known) > nats_against(unknown) + 0.5 * GAIN_NATS
