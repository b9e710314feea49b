"""A beginner who learns: what fingers and head can do grows with practice, fades with the days, and shows in faults.

The model. Each thing to learn (an embellishment, a change of note, the notes of a bar) has a strength, which grows by 1
each time that it is played right, by WRONG_TEACHES when it is played wrong. Played at a share s of its full speed, the
chance of a fault is hardness * (1 + strength) ** -POWER * s ** TEMPO: the power law of practice (Newell & Rosenbloom
1981, from memory), and that what is slower goes better. After some days without it a strength is what it was times
(1 + days) ** -FORGETS: a forgetting curve with a power of time (Wickelgren 1974, from memory). The numbers are choices
without a source, such that a beginner plays a new doubling wrong nearly every second time, and after a hundred
times once in thirty.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from random import Random

from companion.lesson.model.known import Known, Skill, SkillKind
from companion.lesson.model.steps import Lesson, Pace, Step, StepKind
from companion.lesson.steps.asking import asked_tune
from companion.lesson.steps.heard import Amiss, RoundHeard
from companion.lesson.steps.needs import Needs, needs_of
from companion.listen.model.findings import FindingKind as Fault
from companion.schedule.pace import tempo_of
from companion.schedule.stretch import Stretch
from companion.score.model import Tune
from fingering.crossings.hardness import hardness
from fingering.crossings.transition import Transition

POWER, TEMPO, FORGETS = 0.63, 1.5, 0.25
WRONG_TEACHES = 0.3
HARDNESS_OF_BAR = 0.1
BY_HEART = 2.0
"""The notes of a bar that is not looked at are so many times as hard."""

SURE_DAYS = 2.0
"""Who has played something right some days apart has it for twice as long the next time: what stands for a database."""

BETWEEN_ROUNDS_S = 5.0
"""Breath, and the count-in."""


@dataclass(frozen=True, slots=True)
class Place:
    """One thing that a step asks for at one played note: a skill, or None for the notes of a bar."""

    played: int
    bar: int
    key: Skill | int
    hardness: float

    @property
    def skill(self) -> Skill | None:
        """The skill of the fingers; None for the notes of a bar."""
        return self.key if isinstance(self.key, Skill) else None


@dataclass(slots=True)
class Memory:
    """What is left of one thing: its strength when it was played last, on which day, and for how long it is sure."""

    strength: float = 0.0
    day: float = 0.0
    sure_days: float = 0.0
    due_day: float = 0.0


@dataclass(frozen=True, slots=True)
class Slipped:
    """A fault in a round: where, of which kind, and what was lacking."""

    place: Place
    kind: Fault


@dataclass(slots=True)
class Beginner:
    """One beginner. never: what this one will never learn."""

    random: Random
    never: frozenset[Skill] = frozenset()
    day: float = 0.0
    minutes: float = 0.0
    rounds: int = 0
    memories: dict[tuple[str, Skill | int], Memory] = field(default_factory=dict)

    def known(self) -> Known:
        """What stands for the database: sure is what was once right in a whole drill, due what was so too long ago."""
        kept = {key: each for (_, key), each in self.memories.items() if isinstance(key, Skill) and each.sure_days > 0}
        return Known(frozenset(kept), frozenset(key for key, each in kept.items() if each.due_day <= self.day))

    def play(self, lesson: Lesson, step: Step, pace: Pace) -> tuple[Slipped, ...]:
        """Play one round, and learn by it."""
        self.rounds += 1
        self.minutes += (length_s(lesson, step, pace) + BETWEEN_ROUNDS_S) / 60.0
        slipped = []
        share = _share_of_speed(lesson, step, pace)
        for place in asks_of(lesson, step).places:
            memory = self.memory(lesson.tune, place.key)
            chance = self._chance(place, memory, share)
            wrong = place.skill in self.never or self.random.random() < chance
            memory.strength = self._left(memory) + (WRONG_TEACHES if wrong else 1.0)
            memory.day = self.day
            if wrong:
                slipped.append(Slipped(place, self._fault(place)))
        self._note_sure(lesson, step, slipped)
        return tuple(slipped)

    def memory(self, tune: Tune, key: Skill | int) -> Memory:
        """What is left of a skill, or of a bar of one tune."""
        return self.memories.setdefault(("" if isinstance(key, Skill) else tune.title, key), Memory(day=self.day))

    def _left(self, memory: Memory) -> float:
        return memory.strength * math.pow(1.0 + self.day - memory.day, -FORGETS)

    def _chance(self, place: Place, memory: Memory, share: float) -> float:
        return min(0.95, place.hardness * math.pow(1.0 + self._left(memory), -POWER) * math.pow(share, TEMPO))

    def _fault(self, place: Place) -> Fault:
        if place.skill is None:
            return Fault.WRONG_NOTE
        if place.skill.kind is SkillKind.CHANGE:
            return Fault.CROSSING
        return self.random.choice((Fault.MISSING_GRACENOTE, Fault.WRONG_GRACENOTE))

    def _note_sure(self, lesson: Lesson, step: Step, slipped: list[Slipped]) -> None:
        """A drill at speed without a fault makes its skill sure until some days later, each time for twice as long."""
        if step.kind.is_of_the_tune or step.skill is None or slipped:
            return
        memory = self.memory(lesson.tune, step.skill)
        if memory.due_day <= self.day:
            memory.sure_days = max(1.0, SURE_DAYS * memory.sure_days)
            memory.due_day = self.day + memory.sure_days


def heard_of(slipped: tuple[Slipped, ...]) -> RoundHeard:
    """What an ear that misses nothing hears of a round."""
    return RoundHeard(tuple(Amiss(each.kind.value, each.place.bar, each.place.skill) for each in slipped))


@dataclass(frozen=True, slots=True)
class Asks:
    """What a step asks for: all places, in the order of its notes, and how many beats it has."""

    places: tuple[Place, ...]
    beats: float


def asks_of(lesson: Lesson, step: Step) -> Asks:
    """What a step asks for; kept, with the lesson, since a beginner plays it many times."""
    key = id(lesson.tune), step
    if key not in _ASKS:
        tune = asked_tune(lesson, step)
        needs = needs_of(tune)
        notes = notes_of(needs, step)
        places = _places(needs, notes, by_heart=step.kind is StepKind.BY_HEART)
        beats = sum(needs.schedule.played[each].note.duration for each in notes) / tempo_of(tune).beat
        _ASKS[key] = lesson.tune, Asks(tuple(sorted(places, key=lambda each: each.played)), float(beats))
    return _ASKS[key][1]


_ASKS: dict[tuple[int, Step], tuple[Tune, Asks]] = {}


def notes_of(needs: Needs, step: Step) -> range:
    """The played notes of the tune that a step is played from."""
    return (step.stretch or Stretch(0, len(needs.notes))).notes if step.kind.is_of_the_tune else needs.notes


def _places(needs: Needs, notes: range, *, by_heart: bool) -> Iterator[Place]:
    played = needs.schedule.played
    for skill, places in needs.places.items():
        for place in places:
            if place in notes:
                yield Place(place, played[place].bar.number, skill, hardness_of(skill))
    for place in notes:
        if place + 1 == len(played) or played[place].turn != played[place + 1].turn:
            yield Place(
                place,
                played[place].bar.number,
                played[place].bar.number,
                HARDNESS_OF_BAR * (BY_HEART if by_heart else 1.0),
            )


def hardness_of(skill: Skill) -> float:
    """The chance of a fault when it is played for the first time, at speed."""
    if skill.kind is SkillKind.EMBELLISHMENT:
        return min(0.8, 0.2 + 0.08 * len(skill.notes[0]))
    (before,), after = skill.notes
    if skill not in _HARD:
        _HARD[skill] = 0.02 * hardness(Transition.between(before, after)).weight
    return _HARD[skill]


_HARD: dict[Skill, float] = {}


def length_s(lesson: Lesson, step: Step, pace: Pace) -> float:
    """How long one round lasts."""
    return 60.0 * asks_of(lesson, step).beats / pace.speed


def _share_of_speed(lesson: Lesson, step: Step, pace: Pace) -> float:
    """How fast that is, of the tempo at which it is played at last."""
    own = tempo_of(lesson.tune).beats_per_minute if step.kind.is_of_the_tune else step.goal.beats_per_minute
    return pace.speed / own
