"""Which of F and high G sounds when, in a run of both in a room: by how loud either must be if it does. Pure.

A note that sounds is as loud as its direct sound and its echo, which comes up while it lasts and dies away after it. So
each way to part a run tells how loud both are at each moment, and what is heard tells how likely that way is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from companion.hearing.echoes.room import RoomEcho
from companion.hearing.notes.runs.near_runs import STEP_FRAMES, NearRun

Names = NDArray[np.intp]
"""For each step of a run which of the two sounds: 0 for F, 1 for high G. Shape (steps,) or (ways, steps)."""

MOST_SHARE = 0.8
"""The most of a note that goes on that is taken for its echo: more leaves nothing to hear begin."""

SMEARED = (1.0 / 6.0, 4.0 / 6.0, 1.0 / 6.0)
"""What a window of 20 ms holds of the steps before, at and after its middle, as power."""

FAINT_DB, STRAY_DB, MOST_STRAYS = -14.0, 2.5, 4.0
"""A level that is lower says nothing more; how far levels stray from what is foretold, and how far off counts."""

NATS_A_STEP = 0.4
"""How much of its nats a step counts: windows overlap, and an echo strays slowly."""

MOST_OVER_DB = 5.0
"""By how much either may be louder or softer in one run than in others."""

CHANGE_NATS = 5.0
"""The price of each change between the two."""

LAGS = 16
"""For how many steps, 80 ms, a note's level after it begins is learnt: the room's first echoes are its own."""

COME_UP = 4
"""A gracenote is nearly as loud after so many steps, 20 ms, as a note that goes on."""

FEWEST = 3.0
"""How many beginnings the expected level counts for beside those that were heard."""


@dataclass(frozen=True, slots=True, eq=False)
class RunModel:
    """How loud F and high G are in a room. share, decay: of an echo, and what is left of it after a step. steady_db:
    each while it goes on. leak: what of either seems to sound with the other alone, as power. after_db: by how much
    louder each is than foretold so many steps after it begins, shape (2, 2, LAGS): as a run begins, when another note
    still sounds, and later. ended_db: by how much louder each is than foretold so many steps after it gave way to the
    other, shape (2, LAGS). besides: the power that the other seems to have of that other note as a run begins with
    one, shape (2, LAGS)."""

    share: float
    decay: float
    steady_db: NDArray[np.float64]
    leak: NDArray[np.float64]
    after_db: NDArray[np.float64]
    ended_db: NDArray[np.float64]
    besides: NDArray[np.float64]

    def level_db(self, run: NearRun) -> NDArray[np.float64]:
        """The levels of a run beside those of notes that go on, in dB, shape (steps, 2)."""
        return np.asarray(decibels(run.levels) - self.steady_db)

    def expected_db(self, run: NearRun, ways: Names) -> NDArray[np.float64]:
        """What is foretold of a run, were it parted so: shape (ways, steps, 2). ways: shape (ways, steps)."""
        steps = np.arange(ways.shape[1])
        lag = _since_begun(ways, (run.first - run.begins) // STEP_FRAMES)
        later = _after_a_change(ways)
        before = np.minimum(decibels(np.array(run.before)) - self.steady_db, 0.0)
        sounding = [self._sounding(ways == rank, 10.0 ** (before[rank] / 10.0), steps) for rank in (0, 1)]
        out = []
        for rank in (0, 1):
            power = sounding[rank] + self.leak[rank] * sounding[1 - rank]
            power += np.where(later | (ways == rank), 0.0, self.besides[rank][lag])
            ended_db = np.where(later, self.ended_db[rank, lag], 0.0)
            began_db = self.after_db[later.astype(np.intp), rank, lag]
            out.append(decibels(power) + np.where(ways == rank, began_db, ended_db))
        return np.stack(out, axis=2)

    def _sounding(self, is_it: NDArray[np.bool_], before: float, steps: NDArray[np.intp]) -> NDArray[np.float64]:
        """The power of one of the two: direct sound, and the echo that comes up and dies away."""
        grown = np.cumsum(is_it * self.decay ** -steps.astype(np.float64), axis=1)
        echo = (self.share * (1.0 - self.decay) * grown + before * self.decay) * self.decay**steps
        power = np.pad((1.0 - self.share) * is_it + echo, ((0, 0), (1, 1)), mode="edge")
        count = len(steps)
        parts = [share * power[:, at : at + count] for at, share in enumerate(SMEARED)]
        return np.asarray(np.sum(parts, axis=0))

    def costs(self, run: NearRun, ways: Names) -> NDArray[np.float64]:
        """How unlikely each way is, in nats: shape (ways,)."""
        heard = self.level_db(run)
        expected = self.expected_db(run, ways)
        sounding = ways[:, :, np.newaxis] == np.arange(2)
        count = sounding.sum(axis=1)
        over = np.where(sounding, heard - expected, 0.0).sum(axis=1) / (count + FEWEST)
        expected += np.clip(over, -MOST_OVER_DB, MOST_OVER_DB)[:, np.newaxis]
        strays = (np.maximum(heard, FAINT_DB) - np.maximum(expected, FAINT_DB)) / STRAY_DB
        off = np.minimum(np.square(strays), MOST_STRAYS**2).sum(axis=(1, 2))
        changes = (ways[:, 1:] != ways[:, :-1]).sum(axis=1)
        return np.asarray(0.5 * NATS_A_STEP * off + CHANGE_NATS * changes)


def decibels(power: NDArray[np.floating]) -> NDArray[np.float64]:
    """Power in dB, no less than -90."""
    return np.asarray(10.0 * np.log10(np.maximum(power, 1e-9)), np.float64)


def _since_begun(ways: Names, lead: int) -> Names:
    """For each step since how many the note sounds that does; lead: how many it did before the first."""
    steps = np.arange(ways.shape[1])
    begins = np.ones(ways.shape, bool)
    begins[:, 1:] = ways[:, 1:] != ways[:, :-1]
    first = np.maximum.accumulate(np.where(begins, steps, 0), axis=1)
    return np.minimum(steps - first + np.where(first == 0, lead, 0), LAGS - 1)


def _after_a_change(ways: Names) -> NDArray[np.bool_]:
    """Whether a change lies before each step."""
    out = np.zeros(ways.shape, bool)
    out[:, 1:] = np.logical_or.accumulate(ways[:, 1:] != ways[:, :-1], axis=1)
    return out


def model_of(runs: Sequence[tuple[NearRun, Names]], echo: RoomEcho, step_s: float) -> RunModel | None:
    """The model of a take, by its runs as they were heard; None where F never goes on for long enough, or there is no
    high G. Of high Gs that are gracenotes alone it is not known how much of an F they seem to hold: all."""
    f, high_g = (_levels_of(runs, rank, LAGS - 1) for rank in (0, 1))
    goes_on = len(high_g) >= LAGS
    if not goes_on:
        high_g = _levels_of(runs, 1, COME_UP)
    if len(f) < LAGS or not len(high_g):
        return None
    by_f, by_high_g = np.median(f, axis=0), np.median(high_g, axis=0)
    steady_db = np.array([by_f[0], by_high_g[1]])
    leak_db = np.array([by_high_g[0] if goes_on else by_f[0], by_f[1]]) - steady_db
    decay = float(np.exp(-step_s / echo.decay_s))
    model = RunModel(
        share=min(MOST_SHARE, echo.share),
        decay=decay,
        steady_db=steady_db,
        leak=10.0 ** (leak_db / 10.0),
        after_db=np.zeros((2, 2, LAGS)),
        ended_db=np.zeros((2, LAGS)),
        besides=np.zeros((2, LAGS)),
    )
    model = replace(model, besides=_besides(runs, model))
    after_db, ended_db = _over_foretold_db(runs, model)
    return replace(model, after_db=after_db, ended_db=ended_db)


def _levels_of(runs: Sequence[tuple[NearRun, Names]], rank: int, least_lag: int) -> NDArray[np.float64]:
    """The levels of both in dB, shape (steps, 2), where one of them has sounded for so many steps and goes on."""
    found = []
    for run, names in runs:
        lag = _since_begun(names[np.newaxis], (run.first - run.begins) // STEP_FRAMES)[0]
        found.append(decibels(run.levels[(names == rank) & (lag >= least_lag) & _undisturbed(names)]))
    return np.concatenate(found) if found else np.zeros((0, 2))


def _undisturbed(names: Names) -> NDArray[np.bool_]:
    """The steps in whose windows nothing sounds that follows: the second and earlier ones before a change."""
    out = np.ones(len(names), bool)
    for at in np.flatnonzero(np.diff(names)):
        out[max(0, at - 1) : at + 1] = False
    out[-2:] = False
    return out


def _besides(runs: Sequence[tuple[NearRun, Names]], model: RunModel) -> NDArray[np.float64]:
    """The power that the one seems to have that does not sound as a run begins: the median of the take's runs."""
    found: list[list[list[float]]] = [[[] for _ in range(LAGS)] for _ in (0, 1)]
    for run, names in runs:
        other = 1 - int(names[0])
        if run.first == run.begins:
            stop = int(np.argmax(names != names[0])) or len(names)
            powers = 10.0 ** (model.level_db(run)[: min(stop, LAGS), other] / 10.0)
            for lag, power in enumerate(powers):
                found[other][lag].append(float(power))
    return np.array([[np.median(each) if len(each) >= FEWEST else 0.0 for each in one] for one in found])


def _over_foretold_db(
    runs: Sequence[tuple[NearRun, Names]], model: RunModel
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """By how much louder each note is than foretold after it begins, and after it gave way to the other, as `RunModel`
    has both."""
    began: list[list[list[list[float]]]] = [[[[] for _ in range(LAGS)] for _ in (0, 1)] for _ in (0, 1)]
    ended: list[list[list[float]]] = [[[] for _ in range(LAGS)] for _ in (0, 1)]
    for run, names in runs:
        over = model.level_db(run) - model.expected_db(run, names[np.newaxis])[0]
        lag = _since_begun(names[np.newaxis], (run.first - run.begins) // STEP_FRAMES)[0]
        later = _after_a_change(names[np.newaxis])[0]
        for step, name in enumerate(names):
            began[int(later[step])][name][lag[step]].append(float(over[step, name]))
            if later[step]:
                ended[1 - name][lag[step]].append(float(over[step, 1 - name]))
    began_db = np.array([[[_towards_none(each) for each in one] for one in both] for both in began])
    began_db[:, :, -1] = 0.0  # by then it is steady
    ended_db = np.array([[_towards_none(each) for each in one] for one in ended])
    return began_db, ended_db


def _towards_none(strays: Sequence[float]) -> float:
    return float(np.median(strays)) * len(strays) / (len(strays) + FEWEST) if strays else 0.0
