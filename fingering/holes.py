"""The eight holes, the fingers that close them, and hole states."""

from __future__ import annotations

import enum
from collections.abc import Iterable
from functools import cache

from fingering.errors import UserError


class Finger(enum.IntEnum):
    """The eight fingers and the holes they close, from the top of the chanter down. The integer is the lane, 0 to 7."""

    THUMB = 0
    UPPER_INDEX = 1
    UPPER_MIDDLE = 2
    UPPER_RING = 3
    LOWER_INDEX = 4
    LOWER_MIDDLE = 5
    LOWER_RING = 6
    LOWER_LITTLE = 7

    @property
    def label(self) -> str:
        """The name people read: "thumb", "upper index", ..."""
        return self.name.lower().replace("_", " ")

    @classmethod
    def from_label(cls, label: str) -> Finger:
        """The finger of that name (case, "-" and "_" do not matter). Raises UserError for any other."""
        key = label.strip().upper().replace("-", "_").replace(" ", "_")
        try:
            return cls[key]
        except KeyError:
            names = ", ".join(f"'{finger.label}'" for finger in cls)
            raise UserError(f"there is no finger '{label}'", f"use one of {names}") from None


_GROUPS = (slice(0, 1), slice(1, 4), slice(4, 8))
_ALL = 255


class HoleState(int):
    """Which of the eight holes are closed at one moment: bit i set means that finger i's hole is closed, 0 to 255.

    The text form is thumb, upper hand, lower hand, x closed and o open: ``x xxo xxxo`` is E.
    """

    __slots__ = ()

    def __new__(cls, bits: int) -> HoleState:
        if not 0 <= bits <= _ALL:
            raise ValueError(f"a hole state has 8 bits, not {bits}")
        return super().__new__(cls, bits)

    @classmethod
    def parse(cls, text: str) -> HoleState:
        """Read the text form; spaces do not matter. Raises UserError."""
        marks = text.replace(" ", "")
        if len(marks) != len(Finger) or set(marks) - {"x", "o"}:
            raise UserError(f"'{text}' is not a hole state", "write eight x or o, thumb first, like 'x xxo xxxo'")
        return cls(sum(1 << i for i, mark in enumerate(marks) if mark == "x"))

    @classmethod
    def of_closed(cls, fingers: Iterable[Finger]) -> HoleState:
        """The state in which exactly these fingers close their holes."""
        return cls(sum(1 << finger for finger in frozenset(fingers)))

    def __str__(self) -> str:
        marks = "".join("x" if self.closed(finger) else "o" for finger in Finger)
        return " ".join(marks[group] for group in _GROUPS)

    def __repr__(self) -> str:
        return f"HoleState.parse('{self}')"

    def closed(self, finger: Finger) -> bool:
        """Whether `finger` closes its hole."""
        return bool(self >> finger & 1)

    def lifting(self, *fingers: Finger) -> HoleState:
        """This state with the holes of `fingers` open."""
        return HoleState(self & ~HoleState.of_closed(fingers))

    def dropping(self, *fingers: Finger) -> HoleState:
        """This state with the holes of `fingers` closed."""
        return HoleState(self | HoleState.of_closed(fingers))

    def open_fingers(self) -> tuple[Finger, ...]:
        """The fingers off their holes, top first."""
        return _fingers(_ALL ^ self)

    def topmost_open(self) -> Finger | None:
        """The highest open hole, which decides what sounds; None when all are closed."""
        return next(iter(self.open_fingers()), None)

    def lifts_to(self, other: HoleState) -> tuple[Finger, ...]:
        """The fingers that open their holes on the way from this state to `other`, top first."""
        return _fingers(self & ~other)

    def drops_to(self, other: HoleState) -> tuple[Finger, ...]:
        """The fingers that close their holes on the way from this state to `other`, top first."""
        return _fingers(other & ~self)

    def moves_to(self, other: HoleState) -> tuple[Finger, ...]:
        """All fingers that differ between this state and `other`, top first."""
        return _fingers(self ^ other)


@cache
def _fingers(bits: int) -> tuple[Finger, ...]:
    return tuple(finger for finger in Finger if bits >> finger & 1)


ALL_CLOSED = HoleState(_ALL)
NONE_CLOSED = HoleState(0)
