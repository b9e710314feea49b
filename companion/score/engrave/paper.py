"""Sizes of paper and of the staff, in tenths of a millimetre."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Paper:
    """A page: its width and height, and the margin around what is printed, in tenths of a millimetre."""

    name: str
    width: int
    height: int
    margin: int = 150

    @property
    def room(self) -> int:
        """How wide a line of music is."""
        return self.width - 2 * self.margin


A4 = Paper("A4", 2100, 2970)  # ISO 216
LETTER = Paper("Letter", 2159, 2794)  # ANSI/ASME Y14.1: 8.5 by 11 inches
PAPERS = (A4, LETTER)

STAFF_SIZES = (1.0, 0.92, 0.84, 0.76, 0.7)
"""How large the staff may be: 1.0 is 7.2 mm high. Below 0.7 (5 mm) gracenotes cannot be read from a music stand."""
