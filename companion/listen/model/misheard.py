"""How far lengths and times are misheard in a take that was heard in sound."""

from __future__ import annotations

from dataclasses import dataclass, replace

from companion.listen.model.strictness import Limits


@dataclass(frozen=True, slots=True)
class Misheard:
    """lengths: how far lengths are off, as the standard deviation of their logarithm; what is more than that is the
    player's. long_from_ms: no gracenote is long that seems shorter, in ms; but it may be longer than its fellows.
    lengthened_ms: by how much gracenotes seem longer than they were. misplaced_ms: how far notes may be off for that
    alone."""

    lengths: float = 0.0
    long_from_ms: float = 0.0
    lengthened_ms: float = 0.0
    misplaced_ms: float = 0.0

    def within(self, limits: Limits) -> Limits:
        """Return the limits for a take that was heard so."""
        return replace(limits, lengthened_ms=self.lengthened_ms, misplaced_ms=self.misplaced_ms)


AS_PLAYED = Misheard()
"""Each length is that which was played."""
