"""A melody note as it was heard, before and after it is known when it was due."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from companion.listen.rhythm.pulse import Due
from fingering.embellishments import Embellishment, Family

# Families that a player treats alike; all others are treated as one more.
_ALIKE = (
    frozenset({Family.SINGLE}),
    frozenset({Family.STRIKE}),
    frozenset({Family.GRIP}),
    frozenset({Family.TAORLUATH, Family.CRUNLUATH}),
    frozenset({Family.THROW}),
    frozenset({Family.BIRL}),
    frozenset({Family.DOUBLING, Family.HALF_DOUBLING, Family.THUMB_DOUBLING}),
)


@cache
def kind_of(family: Family, *, simple: bool = True) -> int:
    """Return the kind of an embellishment, those of one kind being treated alike. simple: whether there is but one
    gracenote; a strike after others is of another kind than one alone."""
    kind = next((rank for rank, alike in enumerate(_ALIKE) if family in alike), len(_ALIKE))
    return len(_ALIKE) + 1 if family is Family.STRIKE and not simple else kind


def kind_played(embellishment: Embellishment | None) -> int | None:
    """Return the kind of the embellishment onto a note; None where there is none."""
    if embellishment is None:
        return None
    return kind_of(embellishment.family, simple=len(embellishment.gracenotes) == 1)


NO_ROOM_S = 0.1
"""A melody note that sounds for less before the gracenotes after it has no more time to give them (a choice, no source:
somewhat more than a gracenote that passes as one)."""


class HeardUnit(NamedTuple):
    """A melody note as it began: its first gracenote at `group_s`, itself at `onset_s`.

    kind: of its embellishment (see `kind_of`), None without one. plain: whether it was played as asked, or nearly;
    otherwise either moment may have been meant as its beat. apart: whether what came before tells nothing about when it
    was due. amiss: whether more was wrong with it than that its gracenotes were slow. crowded: whether the note before
    it sounded so shortly that gracenotes which end on the beat had no room before it, and may have begun on it.
    """

    played: int
    group_s: float
    onset_s: float
    kind: int | None
    plain: bool
    apart: bool
    amiss: bool = False
    crowded: bool = False

    def after(self, before_s: float) -> HeardUnit:
        """Return this note as it is judged after one that began at `before_s`."""
        crowded = self.group_s < self.onset_s and self.group_s - before_s < NO_ROOM_S
        return self._replace(crowded=True) if crowded else self

    def nearest_s(self, due_s: float) -> float:
        """The moment nearest to `due_s` between its first gracenote and its own onset, in s."""
        return min(max(due_s, self.group_s), self.onset_s)


class BeatHeard(NamedTuple):
    """When a melody note was taken to have its beat, the likeliest moment first, and when it was due; `off` tells
    whether it was far off."""

    played: int
    onset_s: float
    moments_s: tuple[float, ...]
    due: Due | None
    off: bool

    @property
    def at_s(self) -> float:
        """The likeliest moment."""
        return self.moments_s[0]
