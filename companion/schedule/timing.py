"""The settings by which a performance is timed: tempo, slow-down, gracenote lengths and places; all defaults."""

from __future__ import annotations

import enum
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from fingering.embellishments import Family
from fingering.errors import UserError

SLOWEST = 32.0
DEFAULT_BEATS_PER_MINUTE = 60.0  # where a metronome usually starts: common practice, no source
BEATS_PER_MINUTE_RANGE = (10.0, 400.0)
GRACENOTE_RANGE_S = (0.005, 1.0)  # from what has no pitch yet to what is a melody note
LONGEST_LEAD_S = 0.1


class Gracing(enum.Enum):
    """What a slow-down does to gracenotes: STRETCH slows them with the melody, CRISP leaves them at their length."""

    STRETCH = "stretch"
    CRISP = "crisp"


class Placement(enum.Enum):
    """Whether gracenotes end on the beat of their melody note (BEFORE) or begin on it (ON)."""

    BEFORE = "before"
    ON = "on"


def _default_placements() -> Mapping[Family, Placement]:
    """The place of each family by default: grips, taorluaths and crunluaths before the beat, the rest on it.

    Common practice, no source.
    """
    before = {Family.GRIP, Family.TAORLUATH, Family.CRUNLUATH}
    return MappingProxyType({f: Placement.BEFORE if f in before else Placement.ON for f in Family})


@dataclass(frozen=True, slots=True)
class Timing:
    """Everything that turns written lengths into seconds.

    beats_per_minute: None takes the tune's own tempo, or DEFAULT_BEATS_PER_MINUTE where it has none. slow_down: 1 to
    32. gracenote_s: length of one gracenote at slow-down 1. max_share: the most that a group of gracenotes takes of the
    note that it borrows from. lead_s: by how much fingers that open lead those that close, at slow-down 1.
    """

    beats_per_minute: float | None = None
    slow_down: float = 1.0
    gracing: Gracing = Gracing.STRETCH
    placements: Mapping[Family, Placement] = field(default_factory=_default_placements)
    gracenote_s: float = 0.040
    max_share: float = 0.5
    lead_s: float = 0.004

    def __post_init__(self) -> None:
        if not 1.0 <= self.slow_down <= SLOWEST:
            raise UserError(f"a slow-down of {self.slow_down:g} is out of reach", f"choose 1 to {SLOWEST:g}")
        low, high = BEATS_PER_MINUTE_RANGE
        if self.beats_per_minute is not None and not low <= self.beats_per_minute <= high:
            raise UserError(f"{self.beats_per_minute:g} beats a minute is out of reach", f"choose {low:g} to {high:g}")

    @property
    def gracenotes_slowed(self) -> float:
        """By which factor gracenotes are asked to be longer than at speed."""
        return self.slow_down if self.gracing is Gracing.STRETCH else 1.0
