"""A melody note as it was heard, before and after it is known when it was due."""

from __future__ import annotations

from dataclasses import dataclass

from companion.listen.rhythm.pulse import Due
from fingering.embellishments import Family


@dataclass(frozen=True, slots=True)
class HeardUnit:
    """A melody note as it began: its first gracenote at `group_s`, itself at `onset_s`.

    family: of its embellishment, None without one. plain: whether it was played as asked, or nearly; otherwise either
    moment may have been meant as its beat. amiss: whether more was wrong with it than that its gracenotes were slow.
    simple: whether there is but one gracenote. apart: whether what came before tells nothing about when it was due.
    """

    played: int
    group_s: float
    onset_s: float
    family: Family | None
    plain: bool
    apart: bool
    amiss: bool = False
    simple: bool = True

    def nearest_s(self, due_s: float) -> float:
        """The moment nearest to `due_s` between its first gracenote and its own onset, in s."""
        return min(max(due_s, self.group_s), self.onset_s)


@dataclass(frozen=True, slots=True)
class BeatHeard:
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
