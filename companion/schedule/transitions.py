"""Lists the transitions in a performance: which movements the fingers make, how often, where, and how hard each is."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from companion.schedule.events import EventKind, Schedule
from fingering.crossings.difficulty import GOOD_SPREAD_MS, difficulty
from fingering.crossings.transition import Transition
from fingering.notes import HARMONIC, Note, Tuning


@dataclass(frozen=True, slots=True)
class TuneTransition:
    """One movement of a tune: between the states of two events that follow one another.

    start, end: what the two are played as, since a gracenote's state depends on its melody note. events: for each
    occurrence, the index in `Schedule.events` of the event that it leads to. difficulty: the chance of a foreign note
    in one playing, 0 to 1.
    """

    transition: Transition
    start: Note
    end: Note
    events: tuple[int, ...]
    difficulty: float

    @property
    def count(self) -> int:
        """How often it occurs."""
        return len(self.events)

    @property
    def expected(self) -> float:
        """How many foreign notes are to be expected in one performance; drills are ordered by this."""
        return self.difficulty * self.count


def bars_in_words(numbers: Iterable[int], most: int) -> str:
    """The numbers of written bars in words, each once, in order, and no more than `most`: "pick-up, bars 3, 9 …".

    The pick-up is the bar of number 0.
    """
    ordered = sorted(set(numbers))
    shown = ordered[:most]
    bars = [str(number) for number in shown if number]
    told = [f"{'bar' if len(bars) == 1 else 'bars'} {', '.join(bars)}"] if bars else []
    return ", ".join((["pick-up"] if 0 in shown else []) + told) + (" …" if len(ordered) > most else "")


def transitions(
    schedule: Schedule, tuning: Tuning = HARMONIC, *, spread_ms: float = GOOD_SPREAD_MS
) -> tuple[TuneTransition, ...]:
    """The distinct transitions of a performance, what most needs drill first. Rests are part of none.

    spread_ms: see `fingering.crossings.difficulty`. Raises UserError for a spread out of reach.
    """
    places: dict[Transition, list[int]] = defaultdict(list)
    for index, (old, new) in enumerate(pairwise(schedule.events), start=1):
        if EventKind.REST not in (old.kind, new.kind) and old.state != new.state:
            places[Transition(old.state, new.state)].append(index)
    found = (
        TuneTransition(
            transition,
            schedule.events[events[0] - 1].note,
            schedule.events[events[0]].note,
            tuple(events),
            difficulty(transition, tuning, spread_ms=spread_ms),
        )
        for transition, events in places.items()
    )
    return tuple(sorted(found, key=lambda each: (-each.expected, -each.difficulty, each.events[0])))
