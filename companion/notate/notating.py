"""`notate`: what was played becomes a tune on paper."""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from companion.listen.model.played import Played
from companion.notate.doubts import Doubt
from companion.notate.form.folding import fold
from companion.notate.form.metre import FoundMetre, find_metres, foot_of, kind_of
from companion.notate.paper import WrittenHeading, tune_of
from companion.notate.pulse.counted import CountedTake, counted
from companion.notate.pulse.feet import FEET_OF_THREE, FEET_OF_TWO, FootHabits, FootKind
from companion.notate.pulse.likeliest import FootCosts, likeliest_reading, usual_foot_costs
from companion.notate.pulse.readings import Floats
from companion.notate.pulse.sounds import SoundingNote, sounding_notes
from companion.notate.pulse.spelling import spelled
from companion.notate.unsure import doubts_of
from companion.score.model import Meter, Tempo, Tune
from fingering.errors import UserError

FEWEST_NOTES = 4
"""Fewer notes have no pulse."""

TEMPO_GIVEN_WITHIN = 0.06
"""How far a tempo may be from the one that was given, as a standard deviation of its logarithm."""


@dataclass(frozen=True, slots=True)
class Given:
    """What is believed of a take, None where it is to be found: its metre, and how many beats a minute it has."""

    meter: Meter | None = None
    beats_per_minute: float | None = None


@dataclass(frozen=True, slots=True)
class NotatedTune:
    """A take as a tune, what is unsure in it, and what it was made of."""

    tune: Tune
    doubts: tuple[Doubt, ...]
    take: CountedTake
    metre: FoundMetre


NOTHING_GIVEN = Given()


def notate(
    events: Iterable[Played], given: Given = NOTHING_GIVEN, *, title: str = "", remarks: tuple[str, ...] = ()
) -> NotatedTune:
    """Write down what was played: return it as a tune, with what is unsure in it.

    events: in order of time. remarks: what the tune is headed with as N:. Raises UserError where hardly anything was
    played, or no pulse is found in it.
    """
    return notate_notes(sounding_notes(events), given, title=title, remarks=remarks)


def notate_notes(
    notes: Sequence[SoundingNote], given: Given = NOTHING_GIVEN, *, title: str = "", remarks: tuple[str, ...] = ()
) -> NotatedTune:
    """Write down notes that sounded, as `notate` does events. Raises UserError likewise."""
    if len(notes) < FEWEST_NOTES:
        raise UserError("too little was played to be written down", "play a phrase at least")
    habits = (FEET_OF_TWO, FEET_OF_THREE) if given.meter is None else (_HABITS[kind_of(given.meter)],)
    found = likeliest_reading(notes, habits, _foot_costs(given))
    if found is None:
        raise UserError("no pulse was found in what was played", "say how many beats a minute it has with --tempo")
    take = spelled(counted(found.reading, found.habits, found.notes))
    metres = find_metres(take, given.meter)
    metre = metres[0]
    take = metre.take
    folded = fold(take, metre)
    written = tune_of(folded, metre, WrittenHeading(title, _tempo(take, metre), remarks))
    doubts = doubts_of(written.tune, folded, written.origins, metres, take.kind)
    return NotatedTune(written.tune, doubts, take, metre)


_HABITS = {FootKind.TWO: FEET_OF_TWO, FootKind.THREE: FEET_OF_THREE}


def _tempo(take: CountedTake, metre: FoundMetre) -> Tempo:
    """The median tempo that was played."""
    foot_s = statistics.median(each.foot_s for each in take.notes)
    beat = metre.meter.beat_length
    return Tempo(beat, round(60.0 / foot_s * float(metre.foot / beat)))


def _foot_costs(given: Given) -> FootCosts:
    """The cost of a foot's length where a tempo is given: of a beat of one foot or, where it may have two, of those."""
    beats_per_minute = given.beats_per_minute
    if beats_per_minute is None:
        return usual_foot_costs

    def costs_of(habits: FootHabits) -> Callable[[Floats], Floats]:
        rates = [beats_per_minute * feet for feet in _feet_in_beat(habits, given.meter)]

        def costs(periods: Floats) -> Floats:
            off = [np.abs(np.log(60.0 / periods) - math.log(rate)) for rate in rates]
            nearest: Floats = 0.5 * (np.minimum.reduce(off) / TEMPO_GIVEN_WITHIN) ** 2
            return nearest

        return costs

    return costs_of


def _feet_in_beat(habits: FootHabits, meter: Meter | None) -> tuple[Fraction | int, ...]:
    if meter is not None:
        return (meter.beat_length / foot_of(meter, habits.kind),)
    return (1, 2) if habits.kind is FootKind.TWO else (1,)
