"""Buttons on a page: a key and a few words, side by side, large enough for a finger."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from companion.window.core.actions import Action
from companion.window.core.display import Print
from companion.window.core.marks import Frame, Label, Mark, Measure, Rect, Role, Style, Target, Wash

LEAST_PX = {Print.NORMAL: 24.0, Print.BIG: 44.0}
"""A target is 24 px at least (WCAG 2.2, 2.5.8), in big print 44 (2.5.5)."""

BUTTON_LINES = 1.25
_GAP_LINES = 0.5
_BETWEEN_ROWS_LINES = 0.25
_PAD_LINES = 0.45
_OUTLINE_PX = 2.5


@dataclass(frozen=True, slots=True)
class Button:
    """A key, what it does in words, and in `brief` ones where there is little room.

    pressed: it is being done. sounds: what it would let hear sounds now.
    """

    cap: str
    words: str
    brief: str
    action: Action
    pressed: bool = False
    sounds: bool = False


def target_height(measure: Measure, print_size: Print) -> float:
    """How tall what can be clicked is at least."""
    return max(LEAST_PX[print_size], measure.height(Style.TEXT) * BUTTON_LINES)


@dataclass(frozen=True, slots=True)
class ButtonBox:
    """Buttons with their words and places, from (0, 0); `height` is that of all rows."""

    placed: tuple[tuple[Button, str, Rect], ...]
    height: float

    def marks_and_targets(
        self, x: float, y: float, measure: Measure, ground: Role = Role.WASH
    ) -> tuple[list[Mark], list[Target]]:
        """Drawn with their upper left corner at (x, y), in the colour of `ground`; the pressed one is filled, light on
        dark where others are dark on light, and what sounds without being pressed has a frame."""
        marks: list[Mark] = []
        targets: list[Target] = []
        pad = measure.height(Style.TEXT) * _PAD_LINES
        for button, words, place in self.placed:
            rect = Rect(x + place.x, y + place.y, place.width, place.height)
            middle = rect.y + rect.height / 2
            marks.append(Wash(rect, Role.GUIDE if button.pressed else ground, 6.0))
            if button.sounds and not button.pressed:
                marks.append(Frame(rect, Role.GUIDE, _OUTLINE_PX, 6.0))
            cap, role = (Role.GROUND, Role.GROUND) if button.pressed else (Role.GUIDE, Role.INK)
            marks.append(Label(rect.x + pad, middle, button.cap, Style.STRONG, cap))
            left = rect.x + pad * 2 + measure.width(button.cap, Style.STRONG)
            marks.append(Label(left, middle, words, Style.TEXT, role))
            targets.append(Target(rect, button.action))
        return marks, targets


def button_box(buttons: Sequence[Button], width: float, measure: Measure, print_size: Print) -> ButtonBox:
    """Buttons in one row where their words have room, else with brief words, in as many rows as they need."""
    full = _placed(buttons, [each.words for each in buttons], width, measure, print_size)
    row = target_height(measure, print_size)
    fits = full.height <= row and all(place.right <= width for _, _, place in full.placed)
    return full if fits else _placed(buttons, [each.brief for each in buttons], width, measure, print_size)


def _placed(
    buttons: Sequence[Button], words: Sequence[str], width: float, measure: Measure, print_size: Print
) -> ButtonBox:
    line, height = measure.height(Style.TEXT), target_height(measure, print_size)
    placed: list[tuple[Button, str, Rect]] = []
    x = y = 0.0
    for button, each in zip(buttons, words, strict=True):
        taken = measure.width(button.cap, Style.STRONG) + measure.width(each, Style.TEXT) + 3 * _PAD_LINES * line
        if x > 0 and x + taken > width:
            x, y = 0.0, y + height + line * _BETWEEN_ROWS_LINES
        placed.append((button, each, Rect(x, y, taken, height)))
        x += taken + line * _GAP_LINES
    return ButtonBox(tuple(placed), y + height if placed else 0.0)
