"""What both walks through the tune, the near one and the wide one, are told and tell."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple


@dataclass(frozen=True, slots=True)
class Search:
    """How the next note is looked for.

    ratio: played seconds for each asked second; None while it is not known, and then time tells nothing. lost: whether
    the ear has lost its place, so that nothing tells where the learner may begin. unclocked_until_s: clocks from before
    that, a stop, tell nothing.
    """

    ratio: float | None = None
    lost: bool = False
    unclocked_until_s: float = float("-inf")

    def times_from(self, clock_s: float) -> bool:
        """Return whether the time since then tells anything."""
        return self.ratio is not None and clock_s >= self.unclocked_until_s


class Leading(NamedTuple):
    """The cheapest reading so far: the place of the note heard last, whether that was an extra one there, and what the
    reading has cost since the last settled note."""

    place: int
    is_extra: bool
    doubt: float
