"""The pitch of each hole state, as a ratio to low A, and how weak its resonance is."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from fingering.acoustics.sounding import pitch_ratios, veils
from fingering.notes import Tuning

STATE_COUNT = 256


@dataclass(frozen=True, slots=True)
class PitchTable:
    """The pitch of all 256 hole states, indexed by `HoleState`.

    ratios: frequency over that of low A, > 0. veils: 0 (a full note) to 1 (a false fingering that hardly speaks).
    Raises ValueError for any other number of entries.
    """

    ratios: tuple[float, ...]
    veils: tuple[float, ...]

    def __post_init__(self) -> None:
        if len(self.ratios) != STATE_COUNT or len(self.veils) != STATE_COUNT:
            raise ValueError(f"a pitch table has {STATE_COUNT} ratios and veils, one for each hole state")


@lru_cache(maxsize=8)
def pitch_table(tuning: Tuning) -> PitchTable:
    """The pitch table of a tuning, as the reference chanter sounds it. Raises UserError for an unknown tuning."""
    return PitchTable(pitch_ratios(tuning), veils(tuning))
