"""`transcribe`: what was played becomes a tune on paper."""

from __future__ import annotations

import statistics
from collections.abc import Iterable
from dataclasses import dataclass

from companion.listen.model.played import Played
from companion.score.model import Meter, Tempo, Tune
from companion.transcribe.counted import CountedTake, counted
from companion.transcribe.feet import FEET_OF_THREE, FEET_OF_TWO, FootHabits, FootKind
from companion.transcribe.folding import fold
from companion.transcribe.likeliest import likeliest_reading, usual_foot_costs
from companion.transcribe.metre import FoundMetre, find_metres, kind_of
from companion.transcribe.paper import TuneHead, tune_of
from companion.transcribe.sounds import sounding_notes
from fingering.errors import UserError


@dataclass(frozen=True, slots=True)
class Transcription:
    """A take as a tune, and what it was made of."""

    tune: Tune
    take: CountedTake
    metre: FoundMetre


def transcribe(events: Iterable[Played], *, meter: Meter | None = None, title: str = "", remarks: tuple[str, ...] = ()) -> Transcription:
    """Write down what was played."""
    notes = sounding_notes(events)
    if len(notes) < 2:
        raise UserError("nothing was played in this take", "play a tune, and give that take")
    habits = (FEET_OF_TWO, FEET_OF_THREE) if meter is None else (FEET_OF_TWO if kind_of(meter) is FootKind.TWO else FEET_OF_THREE,)
    found = likeliest_reading(notes, habits, usual_foot_costs)
    if found is None:
        raise UserError("no pulse was found in this take", "give its tempo")
    take = counted(found.reading, found.habits, notes)
    metre = find_metres(take, meter)[0]
    foot_s = statistics.median(each.foot_s for each in take.notes)
    beat = metre.meter.beat_length
    tempo = Tempo(beat, round(60.0 / foot_s * float(metre.foot / beat), 1))
    tune = tune_of(fold(take, metre), metre, TuneHead(title, tempo, remarks))
    return Transcription(tune, take, metre)
