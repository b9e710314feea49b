"""What a tune asks of the fingers: its embellishments, its changes of note, and which of those are hardest to cross."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache

from companion.lesson.model.known import Known, Skill, SkillKind
from companion.schedule.build import build_schedule
from companion.schedule.events import Schedule
from companion.schedule.timing import Timing
from companion.schedule.tune_use import NotePair, changes_in, count_use, drill_first
from companion.score.model import Tune
from fingering.crossings.hardness import Hardness, HardnessLevel, hardness
from fingering.crossings.transition import Transition
from fingering.embellishments import Embellishment, Family

MOST_CROSSINGS = 3
"""Changes of note that a lesson drills: a learner minds few things at once, and the phrases ask for the others anyway.
A choice, no source."""

_KEPT = 8  # a tune, and the drills of it that are in hand

DRILLED_FROM = HardnessLevel.HARD
"""Changes that are easier than this are learnt by playing."""


@dataclass(frozen=True, slots=True)
class Needs:
    """What a tune asks for: each skill, in the order in which they come, with the played notes where it comes."""

    schedule: Schedule
    places: Mapping[Skill, tuple[int, ...]]

    def in_notes(self, notes: range) -> tuple[Skill, ...]:
        """The skills that some of its played notes ask for, in the order in which they come there."""
        found = {skill: self.first_in(skill, notes) for skill in self.places}
        asked = {skill: place for skill, place in found.items() if place is not None}
        return tuple(sorted(asked, key=lambda skill: asked[skill]))

    def first_in(self, skill: Skill, notes: range) -> int | None:
        """The first of some played notes that asks for a skill; None where none does."""
        return next((place for place in self.places.get(skill, ()) if place in notes), None)

    def embellishment(self, skill: Skill) -> Embellishment | None:
        """The embellishment of that skill as it first comes in the tune; None for a change, and for what it has not."""
        if skill.kind is not SkillKind.EMBELLISHMENT or skill not in self.places:
            return None
        return self.schedule.embellishments[self.places[skill][0]]

    @property
    def notes(self) -> range:
        """All its played notes."""
        return range(len(self.schedule.played))


@lru_cache(maxsize=_KEPT)
def needs_of(tune: Tune) -> Needs:
    """All that a tune asks of the fingers as it is played; of the last few tunes it is kept."""
    schedule = build_schedule(tune, Timing())
    places: dict[Skill, list[int]] = {}
    for skill, played in sorted(_asked_for(schedule), key=lambda each: each[1]):
        places.setdefault(skill, []).append(played)
    return Needs(schedule, {skill: tuple(played) for skill, played in places.items()})


def _asked_for(schedule: Schedule) -> Iterator[tuple[Skill, int]]:
    for played, embellishment in enumerate(schedule.embellishments):
        if embellishment is not None:
            yield Skill.of_embellishment(embellishment), played
    for event, pair in changes_in(schedule):
        yield Skill.of_change(*pair), schedule.events[event].played


def is_single(embellishment: Embellishment) -> bool:
    """Whether it is one gracenote: one finger's lift, which is much the same whatever note it decorates."""
    return embellishment.family is Family.SINGLE


def new_embellishments(needs: Needs, known: Known) -> tuple[Skill, ...]:
    """The embellishments of a tune that a learner is to learn, each alone, in the order in which they come.

    A single gracenote of a name (a "G gracenote") is learnt on the first note that has it, and once it is sure on any
    note it is not new on another: the same finger does the same.
    """
    chosen: dict[str, Skill] = {}
    singles_known = {skill.key.partition(">")[0] for skill in known.sure - known.due}
    for skill in needs.places:
        embellishment = needs.embellishment(skill)
        if embellishment is None or not known.is_new(skill):
            continue
        single = is_single(embellishment)
        if not (single and embellishment.spelling in singles_known):
            chosen.setdefault(embellishment.name if single else skill.key, skill)
    return tuple(chosen.values())


def worst_changes(needs: Needs, known: Known) -> tuple[Skill, ...]:
    """The changes of note of a tune that a learner is to drill, MOST_CROSSINGS at most, the worst first.

    Each stands for both directions, since a drill goes back and forth.
    """
    use = count_use((needs.schedule,))
    hard = {pair: _hardness(pair) for pair in use.times if known.is_new(Skill.of_change(*pair))}
    chosen: dict[frozenset[object], Skill] = {}
    for pair in drill_first(hard, use):
        if hard[pair].level >= DRILLED_FROM:
            chosen.setdefault(frozenset(pair), Skill.of_change(*pair))
    return tuple(chosen.values())[:MOST_CROSSINGS]


@cache
def _hardness(pair: NotePair) -> Hardness:
    return hardness(Transition.between(*pair))


def both_ways(skill: Skill) -> tuple[Skill, ...]:
    """A skill, and for a change of note also the change back, which one drill teaches with it."""
    if skill.kind is not SkillKind.CHANGE:
        return (skill,)
    (before,), after = skill.notes
    return skill, Skill.of_change(after, before)
