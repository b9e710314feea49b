"""How much room a staff takes in the window, if any: all that the first frame needs of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from companion.window.core.display import Display, Notation, Print
from companion.window.core.layout import NO_LINES, Lines

if TYPE_CHECKING:  # the first frame has no staff yet
    from companion.window.staff.staff_line import StaffSource

STAFF_LINES = {Print.NORMAL: Lines(4.2, 3.6), Print.BIG: Lines(3.4, 2.9)}
"""Lines of text that a staff takes: with less, gracenotes could not be told, at a desk or from the back of a hall."""


def lines_for(source: StaffSource | None, display: Display) -> Lines:
    """The lines of text to be kept for a staff: none where it is put away, or there is nothing that engraves it."""
    wanted = source is not None and source.is_there and display.notation is Notation.STAFF
    return STAFF_LINES[display.print] if wanted else NO_LINES
