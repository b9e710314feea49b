"""What has become of a learner's practice, as a picture or a table shows it: series over days, and one thing to do."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from companion.lesson.model.known import Skill
from fingering.embellishments import recognise

WORST = 5
"""Crossings that are named: more at once are none."""

FEWEST_TIMES = 5
"""Times asked for lately from which a crossing can be among the worst: of fewer nothing can be said."""


@dataclass(frozen=True, slots=True)
class SkillPoint:
    """How a skill went on the day `first`, or in all of the month that begins with it. asked, clean, uneven: times."""

    first: date
    asked: int
    clean: int
    uneven: int

    @property
    def clean_share(self) -> float:
        """The share that was clean, 0 to 1."""
        return self.clean / self.asked

    @property
    def even_share(self) -> float:
        """The share whose gracenotes were even, 0 to 1."""
        return 1.0 - self.uneven / self.asked


@dataclass(frozen=True, slots=True)
class SkillSeries:
    """A skill over time. points: a month each at first, a day each of this month and the two before it; never empty.

    last: the last day on which it was asked for; asked_lately, clean_lately: its last times. sure, due: as in `Known`.
    """

    skill: Skill
    points: tuple[SkillPoint, ...]
    last: date
    asked_lately: int
    clean_lately: int
    sure: bool = False
    due: bool = False

    @property
    def name(self) -> str:
        """Its name in words."""
        return skill_words(self.skill)

    @property
    def lately(self) -> float:
        """The share of its last times that was clean, 0 to 1."""
        return self.clean_lately / self.asked_lately


@dataclass(frozen=True, slots=True)
class TempoPoint:
    """The fastest tempo of a tune on a day, in beats a minute, of takes with nearly all notes right."""

    day: date
    tempo: float


@dataclass(frozen=True, slots=True)
class TuneSeries:
    """A tune over time. content: by which it is known. takes: how many there are of it. points: days with a tempo."""

    title: str
    content: str
    takes: int
    last: date
    points: tuple[TempoPoint, ...]

    @property
    def reached(self) -> float | None:
        """The fastest tempo of all; None where none was reached yet."""
        return max((point.tempo for point in self.points), default=None)


@dataclass(frozen=True, slots=True)
class Account:
    """All that is known of a learner on a day. days: on how many something was played.

    embellishments, changes: the ones that were asked for most in all come first. tunes: the last played first.
    """

    learner: str
    day: date
    takes: int = 0
    days: int = 0
    embellishments: tuple[SkillSeries, ...] = ()
    changes: tuple[SkillSeries, ...] = ()
    tunes: tuple[TuneSeries, ...] = ()

    @property
    def worst(self) -> tuple[SkillSeries, ...]:
        """The changes of note that are least clean lately, the worst first; those that are all clean are none."""
        told = [each for each in self.changes if each.asked_lately >= FEWEST_TIMES and each.lately < 1.0]
        return tuple(sorted(told, key=lambda each: (each.lately, -each.asked_lately, each.skill.key))[:WORST])

    @property
    def due(self) -> tuple[SkillSeries, ...]:
        """What is to be played again, the least clean first."""
        all_due = (each for each in (*self.embellishments, *self.changes) if each.due)
        return tuple(sorted(all_due, key=lambda each: (each.lately, each.skill.kind.value, each.skill.key)))

    @property
    def today(self) -> str:
        """What to do on this day, as one sentence."""
        if not self.takes:
            return "Play a tune along: what is heard of it stands here from then on."
        if self.due:
            return _due_sentence(self.due[0], len(self.due) - 1, self.day)
        if self.worst:
            worst = self.worst[0]
            amiss = worst.asked_lately - worst.clean_lately
            return f"Go slowly from {worst.name}: {amiss} of the last {worst.asked_lately} times were not clean."
        return "Nothing is due today: play what you like best."


def _due_sentence(due: SkillSeries, others: int, day: date) -> str:
    """What is due, since when it was not played, and how much else is."""
    days = (day - due.last).days
    since = "today" if days <= 0 else "yesterday" if days == 1 else f"{days} days ago"
    more = "" if not others else f", and {others} more {'is' if others == 1 else 'are'} due"
    what = f"the {due.name}" if due.skill.is_embellishment else due.name
    return f"Play {what} again: you last did {since}{more}."


def skill_words(skill: Skill) -> str:
    """A skill as people say it: "taorluath on low A", "D to E"."""
    before, onto = skill.notes
    if skill.is_embellishment:
        return recognise(before, onto=onto).full_name
    return f"{before[0].label} to {onto.label}"
