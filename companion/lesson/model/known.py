"""What a learner can know, and what one does know: embellishments and changes of note."""

from __future__ import annotations

import enum
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from fingering.embellishments import Embellishment
from fingering.notes import Note

ONTO = ">"


class SkillKind(enum.Enum):
    """The sorts of things that fingers learn."""

    EMBELLISHMENT = "embellishment"
    CHANGE = "change of note"


class Skill(NamedTuple):
    """One thing that fingers learn. key: its gracenotes and the note that they lead onto, or two notes, as ABC letters:
    "GdG>e", "d>e". Two skills are one if they are equal."""

    kind: SkillKind
    key: str

    @classmethod
    def of_embellishment(cls, embellishment: Embellishment) -> Skill:
        """To play an embellishment onto its note."""
        graces = "".join(note.letter for note in embellishment.gracenotes)
        return cls(SkillKind.EMBELLISHMENT, f"{graces}{ONTO}{embellishment.onto.letter}")

    @classmethod
    def of_change(cls, before: Note, after: Note) -> Skill:
        """To go from one note to another without a noise between them."""
        return cls(SkillKind.CHANGE, f"{before.letter}{ONTO}{after.letter}")

    @property
    def is_embellishment(self) -> bool:
        """Whether it is an embellishment; else it is a change of note."""
        return self.kind is SkillKind.EMBELLISHMENT

    @property
    def notes(self) -> tuple[Sequence[Note], Note]:
        """The notes before the last one, and the last one."""
        before, onto = self.key.split(ONTO)
        return tuple(Note.from_letter(letter) for letter in before), Note.from_letter(onto)


@dataclass(frozen=True, slots=True)
class Known:
    """What a learner knows at some moment. sure: what need not be taught; due: what of it is to be played again now."""

    sure: frozenset[Skill] = frozenset()
    due: frozenset[Skill] = frozenset()

    def is_new(self, skill: Skill) -> bool:
        """Whether it is to be learnt, or learnt again."""
        return skill not in self.sure or skill in self.due


NOTHING_KNOWN = Known()


@dataclass(frozen=True, slots=True)
class SkillHeard:
    """How a skill went in one take: how often it was asked for and heard, and how often of these it was clean.

    uneven: how often of these the gracenotes of an embellishment were not even, which is not clean either.
    """

    skill: Skill
    asked: int
    clean: int
    uneven: int = 0
