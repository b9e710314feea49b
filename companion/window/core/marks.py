"""Marks: frozen shapes and words with place and colour role, of which every picture is made. Drawing adds nothing.

Lengths and places are pixels (float), x to the right, y downwards.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass, replace
from typing import Protocol

from companion.window.core.actions import Intent


class Role(enum.Enum):
    """What a colour is for; the theme has the colour of each role."""

    GROUND = "ground"
    INK = "ink"
    QUIET = "quiet"
    HAIR = "hair"
    PAST = "past"
    PLAYED = "played"
    FAULT = "fault"
    GUIDE = "guide"
    WASH = "wash"

    __hash__ = object.__hash__  # members are looked up for every mark of every frame; the default hashes names


class Style(enum.Enum):
    """The sizes of type, the largest first.

    HUGE: the note that sounds now. LARGE: a gracenote that sounds now, a screen's own heading, what the ear has to say.
    MEDIUM: what the ear says where LARGE has no room. SECOND: the words beside the note that sounds, and in big print
    those under the lanes. TEXT: all the rest, STRONG is its bold.
    """

    HUGE = "huge"
    LARGE = "large"
    MEDIUM = "medium"
    SECOND = "second"
    TEXT = "text"
    STRONG = "strong"

    __hash__ = object.__hash__  # members are looked up for every mark of every frame; the default hashes names


class Anchor(enum.Enum):
    """Which point of a label is at its x."""

    LEFT = "left"
    CENTRE = "centre"
    RIGHT = "right"


class Side(enum.Enum):
    """A side of the chanter; `sign` is the direction away from it along x."""

    LEFT = "left"
    RIGHT = "right"

    @property
    def sign(self) -> int:
        """-1 to the left, 1 to the right."""
        return -1 if self is Side.LEFT else 1

    @property
    def other(self) -> Side:
        """The opposite side."""
        return Side.RIGHT if self is Side.LEFT else Side.LEFT


class Direction(enum.Enum):
    """Where an arrow points."""

    UP = "up"
    DOWN = "down"


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """The x just past it."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """The y just past it."""
        return self.y + self.height

    @property
    def on_pixels(self) -> Rect:
        """This rectangle moved by at most half a pixel, to begin on a whole row of pixels."""
        return replace(self, y=round(self.y))

    def holds(self, x: float, y: float) -> bool:
        """Whether a point lies inside."""
        return self.x <= x < self.right and self.y <= y < self.bottom


@dataclass(frozen=True, slots=True)
class Label:
    """Words on one line, centred on `y`."""

    x: float
    y: float
    text: str
    style: Style = Style.TEXT
    role: Role = Role.INK
    anchor: Anchor = Anchor.LEFT


@dataclass(frozen=True, slots=True)
class Stripe:
    """A horizontal bar with soft ends from x0 to x1, centred on y: a hole that is closed for that time."""

    x0: float
    x1: float
    y: float
    thickness: float
    role: Role


@dataclass(frozen=True, slots=True)
class Arch:
    """A small arch over a gap from x0 to x1 on y: a finger that lifts for a gracenote."""

    x0: float
    x1: float
    y: float
    height: float
    role: Role


@dataclass(frozen=True, slots=True)
class Wash:
    """A filled rectangle with corners of `radius`."""

    rect: Rect
    role: Role
    radius: float = 0.0


@dataclass(frozen=True, slots=True)
class Frame:
    """The outline of a rectangle with rounded corners."""

    rect: Rect
    role: Role
    width: float = 2.0
    radius: float = 6.0


@dataclass(frozen=True, slots=True)
class Dot:
    """A disc, or a ring when not `filled`."""

    x: float
    y: float
    radius: float
    role: Role
    filled: bool = True


@dataclass(frozen=True, slots=True)
class Rule:
    """A straight line from (x0, y0) to (x1, y1)."""

    x0: float
    y0: float
    x1: float
    y1: float
    role: Role
    width: float = 1.0


@dataclass(frozen=True, slots=True)
class Arrow:
    """A small arrow whose middle is at (x, y)."""

    x: float
    y: float
    size: float
    direction: Direction
    role: Role


@dataclass(frozen=True, slots=True)
class ChanterBody:
    """The chanter, upright on `x` from top to bottom; `width` is that of its tube."""

    x: float
    top: float
    bottom: float
    width: float


@dataclass(frozen=True, slots=True)
class HoleMark:
    """A hole in the wood, filled when closed and hollow when open; `behind` draws it as seen through the wood."""

    x: float
    y: float
    radius: float
    closed: bool
    behind: bool = False


@dataclass(frozen=True, slots=True)
class FingerMark:
    """A finger that reaches from `side` to the hole at (x, y). `lift` is 0 on the hole and 1 fully raised."""

    x: float
    y: float
    length: float
    thickness: float
    side: Side
    lift: float


@dataclass(frozen=True, slots=True, eq=False)
class InkMask:
    """A picture in two inks: how much of each pixel `lines` and `notes` cover, 0 to 255, row after row.

    Two are the same only where they are one object: to compare their pixels in every frame would take too long.
    """

    width: int
    height: int
    lines: bytes
    notes: bytes


@dataclass(frozen=True, slots=True)
class Engraved:
    """Printed music in its place: the rectangle `part` of a mask, at (x, y); its two inks have the colours of roles.

    lines: None where only the notes are drawn.
    """

    x: float
    y: float
    mask: InkMask
    part: Rect
    lines: Role | None = Role.PAST
    notes: Role = Role.INK


Mark = Label | Stripe | Arch | Wash | Frame | Dot | Rule | Arrow | ChanterBody | HoleMark | FingerMark | Engraved


@dataclass(frozen=True, slots=True)
class Target:
    """A rectangle to click: what a click in it asks for, and what the wheel turned up or down over it asks for."""

    rect: Rect
    intent: Intent
    wheel: tuple[Intent, Intent] | None = None


@dataclass(frozen=True, slots=True)
class Foot:
    """The keys at the foot of a picture, from `top` to its lower edge; `fades`: whether they may while nobody asks."""

    top: float
    marks: tuple[Mark, ...]
    fades: bool


@dataclass(frozen=True, slots=True)
class Picture:
    """One frame: `still` marks change rarely and are drawn once, `moving` marks are drawn over them every frame.

    foot: keys that are drawn apart from the others, since they may fade; None where all keys are among `still`.
    """

    width: int
    height: int
    still: tuple[Mark, ...]
    moving: tuple[Mark, ...]
    targets: tuple[Target, ...] = ()
    foot: Foot | None = None

    @property
    def marks(self) -> tuple[Mark, ...]:
        """All its marks."""
        return (*self.still, *(self.foot.marks if self.foot else ()), *self.moving)


class Measure(Protocol):
    """Tells how much room words take, so that a picture can be laid out without drawing."""

    def width(self, text: str, style: Style) -> float:
        """Width of `text` in pixels."""

    def height(self, style: Style) -> float:
        """Height of a line in pixels."""

    def __hash__(self) -> int:
        """A hash by which one size of lettering is told from another, so that layouts can be cached."""
