"""What a press of the pointer becomes: a tap, a long press or a drag. The mouse and one finger do the same."""

from __future__ import annotations

import enum

from companion.window.core.actions import Action, Intent
from companion.window.core.screen import Grab

SLOP_PX = 6.0
"""A hand that presses moves the pointer by as much without meaning to drag."""

HOLD_S = 0.5
"""A press is a long one from here on: common practice, no source."""


class Phase(enum.Enum):
    """How far a gesture is: pressed, dragged, held for long, or over though the button may still be down."""

    PRESSED = "pressed"
    DRAGGED = "dragged"
    HELD = "held"
    OVER = "over"


class Gesture:
    """One press, from the moment the button or finger goes down at (x, y). Times are seconds on one clock.

    grab: what was taken hold of; None for nothing, where only a long press asks for something: the sheet.
    """

    def __init__(self, grab: Grab | None, x: float, y: float, now_s: float) -> None:
        self._grab = grab
        self._at = (x, y)
        self._began_s = now_s
        self.phase = Phase.PRESSED

    def moved(self, x: float, y: float) -> Intent | None:
        """What a movement of the pointer asks for; nothing while it stays about where it went down."""
        far = max(abs(x - self._at[0]), abs(y - self._at[1])) > SLOP_PX
        if self.phase is Phase.PRESSED and far:
            self.phase = Phase.DRAGGED if self._grab else Phase.OVER
        return self._grab.drag(x) if self._grab and self.phase is Phase.DRAGGED else None

    def passed(self, now_s: float) -> Intent | None:
        """What the time that passed asks for: once it has become a long press."""
        if self.phase is not Phase.PRESSED or now_s - self._began_s < HOLD_S:
            return None
        self.phase = Phase.HELD if self._grab else Phase.OVER
        return self._grab.hold if self._grab else Action.KEYS

    def released(self) -> Intent | None:
        """What letting go asks for."""
        phase, self.phase = self.phase, Phase.OVER
        if self._grab is None or phase is Phase.OVER:
            return None
        return self._grab.tap if phase is Phase.PRESSED else self._grab.release


class Pinch:
    """Two fingers on the glass: apart is slower, as if one looked closer; together is faster."""

    STEP = 0.06
    """Of the window's width, for one step of the slow-down."""

    def __init__(self) -> None:
        self._apart = 0.0

    def moved(self, apart: float) -> Action | None:
        """What it asks for once the fingers went apart by `apart`, in widths of the window, below 0 together."""
        self._apart += apart
        if abs(self._apart) < self.STEP:
            return None
        wanted = Action.SLOWER if self._apart > 0 else Action.FASTER
        self._apart = 0.0
        return wanted
