"""The shape of a chanter: a cylindrical bore, its wall, eight tone holes and the foot."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from fingering.errors import UserError
from fingering.holes import Finger


@dataclass(frozen=True, slots=True)
class ToneHole:
    """A round hole drilled square to the bore; `position_mm` is its centre's distance from the closed reed end."""

    diameter_mm: float
    position_mm: float


@dataclass(frozen=True, slots=True)
class Chanter:
    """A chanter as the acoustic model sees it: a lossy cylinder, closed at the reed, open at the foot.

    `holes` has one hole for each finger, thumb first. `foot_mm` is the length of the bore from the acoustic closed end.
    Raises UserError when no such thing could be drilled.
    """

    bore_mm: float
    wall_mm: float
    holes: tuple[ToneHole, ...]
    foot_mm: float

    def __post_init__(self) -> None:
        if len(self.holes) != len(Finger):
            raise UserError(f"a chanter has {len(Finger)} holes, not {len(self.holes)}", "give one for each finger")
        self._check_sizes()
        self._check_order()

    def _check_sizes(self) -> None:
        sizes = {"bore": self.bore_mm, "wall": self.wall_mm, "foot": self.foot_mm}
        sizes |= {f"{finger.label} hole": hole.diameter_mm for finger, hole in zip(Finger, self.holes, strict=True)}
        for name, size_mm in sizes.items():
            if not (math.isfinite(size_mm) and size_mm > 0.0):
                raise UserError(f"the {name} measures {size_mm:g} mm", "give a size above 0 mm")
        for finger, hole in zip(Finger, self.holes, strict=True):
            if hole.diameter_mm > self.bore_mm:
                what = f"the {finger.label} hole ({hole.diameter_mm:g} mm) is wider than the bore ({self.bore_mm:g} mm)"
                raise UserError(what, "drill it no wider than the bore")

    def _check_order(self) -> None:
        names = ("reed", *(f"{finger.label} hole" for finger in Finger), "foot")
        places_mm = (0.0, *(hole.position_mm for hole in self.holes), self.foot_mm)
        for (above, above_mm), (below, below_mm) in pairwise(zip(names, places_mm, strict=True)):
            if not below_mm > above_mm:
                what = f"the {below} at {below_mm:g} mm does not lie below the {above} at {above_mm:g} mm"
                raise UserError(what, "put the holes in order, thumb first, the foot last")
