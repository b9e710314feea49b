"""Readings of a take up to one of its notes, in columns, and how each of them goes on to the next note of melody."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from companion.notate.pulse.feet import TICKS

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MOST_READINGS = 110
WORSE_BY = 22.0
"""A reading that costs so much more than the best is given up."""

TEMPO_STEP = 0.05
"""Tempos that are tried at first differ by this share; of readings of one place whose tempos are closer one is kept."""

TEMPO_WANDERS = 0.014
"""By which share a tempo wanders in a second, standard deviation: 15 % within half a minute."""

PHASE_WANDERS = 0.008
"""By which share of a note's length the pulse itself comes early or late."""

STRAYS = 0.022
"""By which share of the note before it an onset strays: tapping, Repp 2005, from memory."""

STOPS_S = 0.25
"""A silence from which on the pulse need not go on."""

SHORTEST_FOOT_S = 0.05

_MOST_AMISS = 14.0
_UNIT_S = 0.02
_PLACES = 1000  # more than there are tempos


@dataclass(slots=True)
class Readings:
    """Readings that end at one note of melody, one row each.

    place, foot: at which tick of which foot the note begins. due, period: when its beat was due and how long a foot
    is, in s, by a Kalman filter whose variances are p00, p01 and p11. cost: of the whole reading. off: how far the note
    was off, in s. node, row: the note before, as a rank of the sounding notes, and its reading (-1: there is none).
    way: the rank of the way by which the note was reached.
    """

    place: Ints
    foot: Ints
    due: Floats
    period: Floats
    p00: Floats
    p01: Floats
    p11: Floats
    cost: Floats
    off: Floats
    node: Ints
    row: Ints
    way: Ints

    def only(self, rows: Ints) -> Readings:
        """Return these rows alone."""
        return Readings(*(column[rows] for column in self.columns()))

    def columns(self) -> tuple[Any, ...]:
        """Return all columns, in their order."""
        return tuple(getattr(self, name) for name in _COLUMNS)


_COLUMNS = tuple(field.name for field in fields(Readings))


@dataclass(frozen=True, slots=True)
class NextNote:
    """A note of melody that readings go on to: the ranks of the note before it and of the way, when it was on its beat,
    the silence before it and by how much its player's onsets stray, in s, and of how many plays its onset is the
    mean."""

    before: int
    way: int
    beat_s: float
    silence_s: float
    strays_s: float
    plays: int = 1


@dataclass(frozen=True, slots=True)
class _Ahead:
    """Where readings would be at the next note for each length that theirs may have: (readings, lengths) each."""

    took: Floats
    p00: Floats
    p01: Floats
    p11: Floats
    spread: Floats
    off: Floats


def gone_on(old: Readings, following: NextNote, lengths: Ints, feet: Floats, costs: Floats) -> Readings | None:
    """Return the readings that go on to a note from those of the note before it; None where none can.

    lengths: those that the note before may have, in ticks. feet: how many feet each of them takes in each reading, as
    this player points. costs: of each length in each reading, infinite where it may not be, and what else it costs to
    go on so.
    """
    ahead = _ahead(old, following, feet)
    # An onset that is the mean of several is told more closely, but no likelier for that to be one of a melody note.
    widths = ahead.spread * following.plays
    amiss = np.minimum(0.5 * ahead.off**2 / ahead.spread, _MOST_AMISS) + 0.5 * np.log(widths / _UNIT_S**2)
    cost = old.cost[:, None] + costs + amiss
    best = cost.min()
    if not np.isfinite(best):
        return None
    rows, columns = np.nonzero(cost < best + WORSE_BY)
    return _settled(old, following, ahead, cost, (rows, columns), lengths)


def _ahead(old: Readings, following: NextNote, feet: Floats) -> _Ahead:
    period = old.period[:, None]
    took = feet * period
    wander = (TEMPO_WANDERS * period) ** 2 * took
    p00 = old.p00[:, None] + 2 * feet * old.p01[:, None] + feet**2 * old.p11[:, None]
    p00 = p00 + feet**2 * wander / 3 + (PHASE_WANDERS * took) ** 2
    if following.silence_s > STOPS_S:
        p00 = p00 + following.silence_s**2
    p01 = old.p01[:, None] + feet * old.p11[:, None] + feet * wander / 2
    p11 = old.p11[:, None] + wander
    spread = p00 + (following.strays_s**2 + (STRAYS * took) ** 2) / following.plays
    return _Ahead(took, p00, p01, p11, spread, following.beat_s - (old.due[:, None] + took))


def _settled(
    old: Readings, following: NextNote, ahead: _Ahead, cost: Floats, chosen: tuple[Ints, Ints], lengths: Ints
) -> Readings:
    """What the filter believes once the note was heard, for the chosen readings and lengths."""
    rows, columns = chosen
    gain0, gain1 = (ahead.p00 / ahead.spread)[chosen], (ahead.p01 / ahead.spread)[chosen]
    off = ahead.off[chosen]
    ends = old.place[rows] + lengths[columns]
    return Readings(
        place=ends % TICKS,
        foot=old.foot[rows] + ends // TICKS,
        due=old.due[rows] + ahead.took[chosen] + gain0 * off,
        period=np.maximum(SHORTEST_FOOT_S, old.period[rows] + gain1 * off),
        p00=ahead.p00[chosen] * (1 - gain0),
        p01=ahead.p01[chosen] * (1 - gain0),
        p11=ahead.p11[chosen] - gain1 * ahead.p01[chosen],
        cost=cost[chosen],
        off=off,
        node=np.full(len(rows), following.before, dtype=np.int64),
        row=rows,
        way=np.full(len(rows), following.way, dtype=np.int64),
    )


def best_of(found: Sequence[Readings]) -> Readings | None:
    """Return the best readings of all that reach a note; of those alike in place and tempo the best."""
    if not found:
        return None
    every = Readings(*(np.concatenate(column) for column in zip(*(each.columns() for each in found), strict=True)))
    order = np.argsort(every.cost, kind="stable")
    order = order[every.cost[order] < every.cost[order[0]] + WORSE_BY]
    tempos = np.round(np.log(every.period[order]) / TEMPO_STEP).astype(np.int64)
    _, firsts = np.unique(every.place[order] * _PLACES + tempos, return_index=True)
    return every.only(order[np.sort(firsts)][:MOST_READINGS])
