"""What is told on paper of an embellishment that a tune asks for."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from companion.lesson.model.known import Skill, SkillKind
from companion.lesson.page.strips import StripPicture, strip_picture
from companion.lesson.steps.drills import embellishment_of, note_before
from companion.score.model import Tune
from fingering.embellishments import Embellishment
from fingering.notes import Note

_KEPT = 256  # the tunes of a book have most of theirs in common


@dataclass(frozen=True, slots=True)
class NewEmbellishment:
    """An embellishment that is to be learnt: its name, its gracenotes as ABC letters, how it is played, its picture."""

    name: str
    spelling: str
    how: str
    picture: StripPicture


def new_embellishment(tune: Tune, skill: Skill) -> NewEmbellishment:
    """What is told of an embellishment as a tune asks for it first."""
    assert skill.kind is SkillKind.EMBELLISHMENT
    before = note_before(tune, skill)
    return told_of(embellishment_of(skill, before), before)


@lru_cache(maxsize=_KEPT)
def told_of(embellishment: Embellishment, before: Note) -> NewEmbellishment:
    """What is told of an embellishment as it comes out of a note."""
    return NewEmbellishment(
        embellishment.full_name,
        embellishment.spelling,
        embellishment.how_it_is_played,
        strip_picture(embellishment, before),
    )
