"""How far the lengths of gracenotes are misheard in a take that was heard in sound."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Misheard:
    """lengths: how far lengths are off, as the standard deviation of their logarithm; what is more than that is the
    player's. long_from_ms: no gracenote is long that seems shorter, in ms; but it may be longer than its fellows."""

    lengths: float = 0.0
    long_from_ms: float = 0.0


AS_PLAYED = Misheard()
"""Each length is that which was played."""
