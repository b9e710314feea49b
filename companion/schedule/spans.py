"""Finds stretches and moments of a schedule: what a learner repeats, phrases, single movements, written places."""

from __future__ import annotations

import enum
from dataclasses import dataclass

from companion.schedule.events import EventKind, Schedule
from companion.score.model import Part, Phrase, Tune
from fingering.errors import UserError


class Extent(enum.Enum):
    """How much is repeated: nothing, an embellishment, a bar, a phrase, a part or the tune."""

    NOTHING = "off"
    EMBELLISHMENT = "embellishment"
    BAR = "bar"
    PHRASE = "phrase"
    PART = "part"
    TUNE = "tune"


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of time in a schedule, in seconds: from start_s up to, not including, end_s."""

    start_s: float
    end_s: float

    def holds(self, time_s: float) -> bool:
        """Whether `time_s` lies in it, its end not included."""
        return self.start_s <= time_s < self.end_s


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """The place in a tune of one moment. `part_rank` and `phrase_rank` count from 0; None outside any."""

    played: int
    turn: int
    bar_number: int
    part: Part | None
    part_rank: int | None
    phrase: Phrase | None
    phrase_rank: int | None


def whereabouts(tune: Tune, schedule: Schedule, time_s: float) -> Whereabouts:
    """The place in the tune at `time_s`. The schedule must have at least one event."""
    played = schedule.events[schedule.event_index_at(time_s)].played
    turn = schedule.played[played].turn
    bar = tune.order[turn]
    part_rank = next((i for i, part in enumerate(tune.parts) if part.first <= bar < part.stop), None)
    part = None if part_rank is None else tune.parts[part_rank]
    phrases = part.phrases if part else ()
    phrase_rank = next((i for i, phrase in enumerate(phrases) if phrase.first <= bar < phrase.stop), None)
    phrase = None if phrase_rank is None else phrases[phrase_rank]
    return Whereabouts(played, turn, tune.bars[bar].number, part, part_rank, phrase, phrase_rank)


def span_around(tune: Tune, schedule: Schedule, time_s: float, extent: Extent) -> Span | None:
    """The stretch of that extent around `time_s`; None for NOTHING, and where no embellishment follows."""
    here = whereabouts(tune, schedule, time_s)
    match extent:
        case Extent.NOTHING:
            return None
        case Extent.EMBELLISHMENT:
            return _embellishment_span(schedule, here.played)
        case Extent.BAR:
            return _turns_span(schedule, here.turn, here.turn)
        case Extent.PHRASE if here.phrase:
            return _bars_span(tune, schedule, here.turn, here.phrase.first, here.phrase.stop)
        case Extent.PART if here.part:
            return _bars_span(tune, schedule, here.turn, here.part.first, here.part.stop)
        case _:
            return Span(schedule.events[0].start_s, schedule.duration_s)


def _bars_span(tune: Tune, schedule: Schedule, turn: int, first: int, stop: int) -> Span:
    """The stretch around `turn` in which only bars first to stop - 1 are played, each after the one before."""
    start = end = turn
    while start > 0 and first <= tune.order[start - 1] < tune.order[start]:
        start -= 1
    while end + 1 < len(tune.order) and tune.order[end] < tune.order[end + 1] < stop:
        end += 1
    return _turns_span(schedule, start, end)


def _turns_span(schedule: Schedule, first: int, last: int) -> Span:
    inside = [i for i, each in enumerate(schedule.played) if first <= each.turn <= last]
    return Span(_onset_s(schedule, inside[0]), _onset_s(schedule, inside[-1] + 1))


def _onset_s(schedule: Schedule, played: int) -> float:
    return schedule.note_onsets_s[played] if played < len(schedule.played) else schedule.duration_s


def _embellishment_span(schedule: Schedule, played: int) -> Span | None:
    """From the note before the next embellished note to the end of that note, since an embellishment joins the two."""
    target = next((i for i in range(played, len(schedule.played)) if schedule.embellishments[i]), None)
    if target is None:
        return None
    return Span(_onset_s(schedule, max(0, target - 1)), _onset_s(schedule, target + 1))


def neighbour_phrase_s(tune: Tune, schedule: Schedule, time_s: float, steps: int) -> float:
    """Onset (s) of the phrase `steps` further on in playing order, back if negative; else of the first or last one."""
    starts = phrase_starts_s(tune, schedule)
    current = max((i for i, start in enumerate(starts) if start <= time_s + 1e-6), default=0)
    return starts[min(max(current + steps, 0), len(starts) - 1)]


def phrase_starts_s(tune: Tune, schedule: Schedule) -> list[float]:
    """The onset (s) of each phrase, in playing order."""
    opening = {phrase.first for part in tune.parts for phrase in part.phrases}
    turns = [each.turn for each in schedule.played]
    starts = {
        schedule.note_onsets_s[i]
        for i, turn in enumerate(turns)
        if (i == 0 or turns[i - 1] != turn) and tune.order[turn] in opening
    }
    return sorted(starts | {schedule.note_onsets_s[0]})


def step(schedule: Schedule, time_s: float, movements: int) -> float:
    """The time (s) at which the movement that many further on, or back if negative, has just been made."""
    index = schedule.state_index_at(time_s)
    index = min(max(index + movements, 0), len(schedule.states) - 1)
    return schedule.states[index].at_s


def settled_s(schedule: Schedule, event: int) -> float:
    """The time (s) at which all fingers have arrived for an event; its beginning where none of them moves."""
    arrived = (each.at_s for each in schedule.states if each.event == event and each.kind is not EventKind.MOVING)
    return next(arrived, schedule.events[event].start_s)


def moved_time(old: Schedule, new: Schedule, time_s: float) -> float:
    """The time in `new` that corresponds to `time_s` in `old`, two timings of the same performance."""
    index = old.event_index_at(time_s)
    before, after = old.events[index], new.events[index]
    length_s = before.end_s - before.start_s
    share = (time_s - before.start_s) / length_s if length_s > 0 else 0.0
    return after.start_s + share * (after.end_s - after.start_s)


def moment(tune: Tune, schedule: Schedule, bar: int, note: int | None = None, gracenote: int | None = None) -> float:
    """The time (s) when the fingers have arrived for a written bar's note, or for a gracenote onto it (from 1).

    Without `note` the bar's first. Raises UserError for a bar, note or gracenote that is not there.
    """
    turns = [turn for turn, index in enumerate(tune.order) if tune.bars[index].number == bar]
    if not turns:
        numbers = [each.number for each in tune.bars]
        raise UserError(f"no bar {bar} is played", f"choose {min(numbers)} to {max(numbers)}", tune.title)
    inside = [i for i, each in enumerate(schedule.played) if each.turn == turns[0]]
    wanted = (note or 1) - 1
    if not 0 <= wanted < len(inside):
        raise UserError(f"bar {bar} has no note {note}", f"choose 1 to {len(inside)}", tune.title)
    return settled_s(schedule, _event_of(schedule, inside[wanted], gracenote, f"{tune.title}, bar {bar}"))


def _event_of(schedule: Schedule, played: int, gracenote: int | None, where: str) -> int:
    events = [i for i, event in enumerate(schedule.events) if event.played == played]
    graces = len(events) - 1
    if gracenote is None:
        return events[-1]
    if not 1 <= gracenote <= graces:
        remedy = f"choose 1 to {graces}" if graces else "leave the gracenote away"
        raise UserError(f"that note has no gracenote {gracenote}", remedy, where)
    return events[gracenote - 1]
