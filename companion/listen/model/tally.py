"""What was heard of a take, counted."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(slots=True)
class Tally:
    """What was heard, counted: how many of each sort were played as asked, of how many that could have been."""

    notes: int = 0
    notes_right: int = 0
    gracenotes: int = 0
    gracenotes_right: int = 0
    movements: int = 0
    movements_clean: int = 0
    heard_notes: int = 0
    extras: int = 0
    leaps: int = 0
    cost: float = 0.0
    skipped_bars: list[int] = field(default_factory=list)
    places: list[tuple[int, float]] = field(default_factory=list)
