"""The sign at the foot of every screen that a microphone is open: which, and the key that closes it.

It has a row of its own, so that nothing lies over it and it lies over nothing; the screen above gives way.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from companion.window.core.actions import Action
from companion.window.core.caps import CAPS
from companion.window.core.display import Print
from companion.window.core.hints import cap_height, cap_marks, cap_width
from companion.window.core.marks import Dot, Label, Mark, Picture, Rect, Role, Style, Target
from companion.window.core.page import LEAST_TARGET_PX
from companion.window.core.screen import Canvas
from companion.window.core.wording import fitted

CLOSE_IT = "close it"
_ROW_LINES = 1.6
_LEAST_PX = {Print.NORMAL: 24.0, Print.BIG: LEAST_TARGET_PX}  # W3C, WCAG 2.2, success criteria 2.5.8 and 2.5.5
_DOT_LINES = 0.22
_GAP_LINES = 0.5


@dataclass(frozen=True, slots=True)
class OpenSign:
    """What is said of microphones, and whether one is open now. closing: what the key that closes it does, in words;
    "" where there is nothing to close."""

    words: str
    is_open: bool = True
    closing: str = CLOSE_IT


def above_sign(sign: OpenSign | None, whole: Canvas) -> Canvas:
    """What is left of a window for its screen: all of it where there is nothing to say."""
    return replace(whole, height=whole.height - _height(whole)) if sign else whole


def with_sign(picture: Picture, sign: OpenSign | None, whole: Canvas) -> Picture:
    """A screen's picture, made for what `above_sign` left it, and the sign below it. A click on that closes too."""
    if sign is None:
        return picture
    measure, margin = whole.measure, whole.page.margin
    line, height = measure.height(Style.TEXT), _height(whole)
    row = Rect(margin, float(whole.height - height), whole.width - 2 * margin, float(height))
    middle, gap = row.y + row.height / 2 - line * 0.15, line * _GAP_LINES
    cap = CAPS[Action.CLOSE_MICROPHONE]
    taken = cap_width(cap, measure) + measure.width(sign.closing, Style.TEXT) + 4 * gap if sign.closing else 0.0
    left = row.x + 2 * line * _DOT_LINES + gap
    words = fitted(sign.words, Style.TEXT, row.right - left - taken, measure)
    radius = line * _DOT_LINES
    marks: list[Mark] = [Dot(row.x + radius, middle, radius, Role.PLAYED, filled=sign.is_open)]
    marks.append(Label(left, middle, words, Style.TEXT, Role.INK))
    targets: tuple[Target, ...] = ()
    if sign.closing:
        x = left + measure.width(words, Style.TEXT) + 2 * gap
        place = Rect(x, middle - cap_height(measure) / 2, cap_width(cap, measure), cap_height(measure))
        marks += cap_marks(cap, place)
        marks.append(Label(place.right + gap, middle, sign.closing, Style.TEXT, Role.QUIET))
        right = place.right + gap + measure.width(sign.closing, Style.TEXT)
        targets = (Target(Rect(row.x, row.y, right - row.x, row.height), Action.CLOSE_MICROPHONE),)
    moving = (*picture.moving, *marks)
    return replace(picture, height=whole.height, moving=moving, targets=(*picture.targets, *targets))


def _height(whole: Canvas) -> int:
    return round(max(_LEAST_PX[whole.display.print], whole.measure.height(Style.TEXT) * _ROW_LINES))
