"""Counts how often tunes ask the fingers to go from one note to another."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from companion.schedule.build import build_schedule
from companion.schedule.events import Event, EventKind, Schedule
from companion.schedule.timing import Timing
from companion.score.bundled import real_tunes
from fingering.chart import chart
from fingering.crossings.hardness import Hardness
from fingering.holes import HoleState
from fingering.notes import Note

NotePair = tuple[Note, Note]
_IN_CHART = {chart(note): note for note in Note}


@dataclass(frozen=True, slots=True)
class TuneUse:
    """How often each change of note comes in some tunes, each played once through with its repeats.

    times: of each ordered pair of different notes. tunes: in how many of the tunes it comes. tune_count: of all.
    """

    times: Mapping[NotePair, int]
    tunes: Mapping[NotePair, int]
    tune_count: int

    def words(self, pair: NotePair) -> str:
        """How often a change of note comes, as a sentence without its stop; "" where there are no tunes to count in."""
        if not self.tune_count:
            return ""
        if not self.times.get(pair):
            return "our tunes never ask for it"
        times = self.times[pair]
        often = "once" if times == 1 else "twice" if times == 2 else f"{times} times"
        return f"our tunes ask for it {often}, in {self.tunes[pair]} of {self.tune_count}"


def count_use(schedules: Iterable[Schedule]) -> TuneUse:
    """Count the changes of note of performances."""
    times: Counter[NotePair] = Counter()
    tunes: Counter[NotePair] = Counter()
    tune_count = 0
    for schedule in schedules:
        here = Counter(pair for _, pair in changes_in(schedule))
        times.update(here)
        tunes.update(here.keys())
        tune_count += 1
    return TuneUse(times, tunes, tune_count)


def drill_first(hard: Mapping[NotePair, Hardness], use: TuneUse) -> tuple[NotePair, ...]:
    """Changes of note in the order to drill them: by level, the hardest first, then by how often tunes ask for them."""
    return tuple(sorted(hard, key=lambda pair: (-hard[pair].level, -use.times.get(pair, 0), -hard[pair].weight, *pair)))


@cache
def use_in_our_tunes() -> TuneUse:
    """The count over the tunes that come with the program, drills left out; kept, since it takes 0.1 s."""
    return count_use(build_schedule(tune, Timing()) for tune in real_tunes())


def changes_in(schedule: Schedule) -> Iterator[tuple[int, NotePair]]:
    """The changes from one note's own fingers to another's, straight or with a gracenote lifted from the other, each
    with the index of the event that it leads to."""
    for index, (old, new) in enumerate(pairwise(schedule.events), start=1):
        start = _IN_CHART.get(old.state)
        if start is None or EventKind.REST in (old.kind, new.kind):
            continue
        end = _fingers_go_to(schedule, new)
        if end is not None and end is not start:
            yield index, (start, end)


def _fingers_go_to(schedule: Schedule, event: Event) -> Note | None:
    """The note whose own fingers an event puts down, all or all but the one that lifts for a gracenote."""
    if event.state in _IN_CHART:
        return _IN_CHART[event.state]
    melody = schedule.played[event.played].note.note
    return melody if melody is not None and _lifts_one(chart(melody), event.state) else None


def _lifts_one(state: HoleState, lifted: HoleState) -> bool:
    return len(state.lifts_to(lifted)) == 1 and not state.drops_to(lifted)
