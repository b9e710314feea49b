"""Makes a schedule of one crossing: a held note, the movement with fingers off their time, another held note."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from companion.schedule.events import Beat, Event, EventKind, Schedule, TimedState
from companion.schedule.timing import Timing
from companion.score.model import FREE, Bar, MelodyNote
from companion.score.performance import PlayedNote
from companion.score.place import Place
from fingering.chart import sounded
from fingering.crossings import passing
from fingering.crossings.teaching import TaughtOrder
from fingering.crossings.timing import heard, timed_states
from fingering.crossings.transition import Transition
from fingering.holes import Finger, HoleState
from fingering.notes import HARMONIC, Note, Tuning

HOLD_S = 1.5  # how long each of the two notes is held, whatever the slow-down: time to hear it
_PLACE = Place("<crossing>", 1, 1)
_HELD = Fraction(1, 4)


@dataclass(frozen=True, slots=True)
class NamedTransition:
    """A transition with the notes that its ends are played as, since a gracenote's state depends on its melody note."""

    transition: Transition
    start: Note
    end: Note

    @classmethod
    def between(cls, start: Note, end: Note) -> NamedTransition:
        """The transition from one melody note to another. Raises UserError when they are the same note."""
        return cls(Transition.between(start, end), start, end)

    def reversed(self) -> NamedTransition:
        """The transition back."""
        return NamedTransition(self.transition.reversed(), self.end, self.start)

    def __str__(self) -> str:
        return f"{self.start.label} to {self.end.label}"


@dataclass(frozen=True, slots=True)
class Noise:
    """A foreign note in a crossing: from when to when it sounds in the schedule (s), and how long at speed (ms)."""

    start_s: float
    end_s: float
    note: Note
    lasts_ms: float


def crossing_schedule(named: NamedTransition, off_ms: Mapping[Finger, float], slow_down: float = 1.0) -> Schedule:
    """The schedule of a crossing with some fingers late (ms above 0) or early (below 0), all others at one moment.

    The movement is stretched by `slow_down`, the held notes are not. The moment that all aim at is the second event's
    start and a beat. Raises UserError for a finger that does not move, a time or a slow-down out of reach.
    """
    states_ms = timed_states(named.transition, off_ms)
    stretch_s = _stretch_s(slow_down)
    moment_s = _moment_s(states_ms, stretch_s)
    end_s = moment_s + max(0.0, states_ms[-1][0]) * stretch_s + HOLD_S
    start, end = named.transition.start, named.transition.end
    states = [TimedState(0.0, start, sounded(start), EventKind.MELODY, 0)]
    for at_ms, state in states_ms:
        kind = EventKind.MELODY if state == end else EventKind.MOVING
        states.append(TimedState(moment_s + at_ms * stretch_s, state, sounded(state), kind, 1))
    return Schedule(
        played=_played(named),
        embellishments=(None, None),
        events=(
            Event(0.0, moment_s, EventKind.MELODY, named.start, start, 0),
            Event(moment_s, end_s, EventKind.MELODY, named.end, end, 1),
        ),
        states=tuple(states),
        beats=(Beat(moment_s, True, 0),),
        note_onsets_s=(0.0, moment_s),
        duration_s=end_s,
    )


def _stretch_s(slow_down: float) -> float:
    """The seconds that a millisecond of the movement takes. Raises UserError for a slow-down out of reach."""
    return Timing(slow_down=slow_down).slow_down / 1000.0


def _moment_s(states_ms: Sequence[tuple[float, HoleState]], stretch_s: float) -> float:
    """The moment that all fingers aim at: the first note is held for its whole time before the first of them moves."""
    return HOLD_S - min(0.0, states_ms[0][0]) * stretch_s


def _played(named: NamedTransition) -> tuple[PlayedNote, ...]:
    notes = tuple(MelodyNote(rank, note, _HELD, (), _PLACE) for rank, note in enumerate((named.start, named.end)))
    bar = Bar(1, notes, FREE, 2 * _HELD, _PLACE)
    return tuple(PlayedNote(0, bar, note) for note in notes)


def noises(
    named: NamedTransition, off_ms: Mapping[Finger, float], slow_down: float = 1.0, tuning: Tuning = HARMONIC
) -> tuple[Noise, ...]:
    """The foreign notes that `crossing_schedule` sounds with these arguments, in order, equal neighbours as one.

    Raises UserError as it does.
    """
    stretch_s = _stretch_s(slow_down)
    moment_s = _moment_s(timed_states(named.transition, off_ms), stretch_s)
    found: list[Noise] = []
    for each in heard(named.transition, off_ms, tuning):
        if each.kind is not passing.PassingKind.FOREIGN:
            continue
        start_s, end_s = moment_s + each.start_ms * stretch_s, moment_s + each.end_ms * stretch_s
        joins = found and found[-1].end_s == start_s and found[-1].note is each.sounding.note
        before = found.pop() if joins else None
        lasts_ms = each.lasts_ms + (before.lasts_ms if before else 0.0)
        found.append(Noise(before.start_s if before else start_s, end_s, each.sounding.note, lasts_ms))
    return tuple(found)


def taught_ms(lesson: TaughtOrder) -> dict[Finger, float]:
    """How many ms off its time each finger goes when it is played as taught: each group leads the next by a little."""
    lead_ms = Timing().lead_s * 1000.0
    return {finger: rank * lead_ms for rank, group in enumerate(lesson.groups) for finger in group}


def movement_near(schedule: Schedule, time_s: float) -> NamedTransition | None:
    """The movement of a performance whose middle is nearest to `time_s`; None where nothing moves at all."""
    moves = [
        (old, new)
        for old, new in pairwise(schedule.events)
        if EventKind.REST not in (old.kind, new.kind) and old.state != new.state
    ]
    if not moves:
        return None
    old, new = min(moves, key=lambda pair: abs(pair[1].start_s - time_s))
    return NamedTransition(Transition(old.state, new.state), old.note, new.note)
