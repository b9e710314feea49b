"""A line of staff as a picture draws it, and who has it: the window, or whoever makes a single picture."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from companion.score.model import Tune
from companion.window.core.marks import InkMask, Rect
from companion.window.staff.cuts import StaffCut

ABOVE_SPACES = 4.2
"""What is kept free above the topmost staff line, in spaces: a gracenote on high A with its beams takes 4.0."""

BELOW_SPACES = 3.1
"""What is kept free below the lowest staff line, in spaces: the stem of low G takes 2.0, the line under the note that
sounds what is left."""

SPACES = ABOVE_SPACES + 4.0 + BELOW_SPACES
LEAST_SPACE_PX = 3


@dataclass(frozen=True, slots=True)
class StaffRoom:
    """The room of a line of staff in whole pixels, and the distance of two staff lines, `space`."""

    width: int
    height: int
    space: int

    @classmethod
    def of(cls, place: Rect) -> StaffRoom:
        """The largest staff that has room in a rectangle."""
        return cls(int(place.width), int(place.height), max(LEAST_SPACE_PX, int(place.height / SPACES + 1e-6)))

    @property
    def spaces(self) -> float:
        """How wide it is, in spaces."""
        return self.width / self.space

    @property
    def middle_px(self) -> int:
        """Where its middle staff line stands, in pixels from its top: the same for all lines of a tune."""
        return round((ABOVE_SPACES + 2.0) * self.space)


@dataclass(frozen=True, slots=True)
class StaffHead:
    """The head of a note, of a gracenote or a rest, by the id that its engraving has, in pixels of the line."""

    id: str
    place: Rect


@dataclass(frozen=True, slots=True)
class EngravedLine:
    """A line of staff: its pixels, its heads from left to right, the y of its topmost line, the space of its lines."""

    mask: InkMask
    heads: tuple[StaffHead, ...]
    top: int
    space: int

    @property
    def bottom(self) -> int:
        """The y of its lowest line."""
        return self.top + 4 * self.space

    def heads_of(self, *ids: str) -> tuple[Rect, ...]:
        """The heads that have one of these ids."""
        return tuple(head.place for head in self.heads if head.id in ids)


class StaffSource(Protocol):
    """Has lines of staff engraved. Asking never waits where a window asks: what is not ready yet comes later."""

    @property
    def is_there(self) -> bool:
        """Whether there can be any: False once it is known that nothing here can engrave."""

    @property
    def is_ready(self) -> bool:
        """Whether lines can be asked for yet; what makes them may take a moment to begin."""

    @property
    def trouble(self) -> str:
        """One line about why there is none, and what to do; "" where nothing is wrong."""

    def line(self, tune: Tune, cut: StaffCut, room: StaffRoom) -> EngravedLine | None:
        """Some bars of a tune in a room; None while they are not ready, and where they cannot be engraved."""
