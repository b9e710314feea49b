"""How the picture is shown: theme, point of view, upper hand, size of print, with a staff or without."""

from __future__ import annotations

import enum
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from companion.window.core.actions import Action
from companion.window.core.marks import Side
from companion.window.core.theme import PAPER, THEMES, Theme


class Viewpoint(enum.Enum):
    """From where the chanter is seen: PLAYER along their own arms, ONLOOKER from in front, left and right exchanged."""

    PLAYER = "player's side"
    ONLOOKER = "onlooker's side"


class Hand(enum.Enum):
    """The hand that holds the upper part of the chanter; most pipers keep the left above."""

    LEFT = "left hand above"
    RIGHT = "right hand above"


class Print(enum.Enum):
    """NORMAL for a desk, BIG for a projector in a hall."""

    NORMAL = "normal print"
    BIG = "big print"


class Notation(enum.Enum):
    """Whether the tune stands on a staff above the lanes, where it has room, or the lanes stand alone."""

    STAFF = "staff shown"
    NONE = "no staff"


@dataclass(frozen=True, slots=True)
class Display:
    """The settings of the picture. introduced: whether what it means was told once."""

    theme: Theme = PAPER
    viewpoint: Viewpoint = Viewpoint.PLAYER
    upper_hand: Hand = Hand.LEFT
    print: Print = Print.NORMAL
    full_screen: bool = False
    introduced: bool = False
    notation: Notation = Notation.STAFF

    @property
    def upper_side(self) -> Side:
        """The side from which the upper hand's fingers reach over the chanter; the lower hand's come from the other."""
        left = (self.upper_hand is Hand.LEFT) == (self.viewpoint is Viewpoint.PLAYER)
        return Side.LEFT if left else Side.RIGHT


Choice = TypeVar("Choice")


def following(choices: Sequence[Choice], current: Choice) -> Choice:
    """The choice after `current`; after the last the first."""
    return choices[(choices.index(current) + 1) % len(choices)]


def change_display(display: Display, action: Action) -> Display:
    """The display after an action; unchanged where the action is not about it."""
    match action:
        case Action.VIEWPOINT:
            return replace(display, viewpoint=following(tuple(Viewpoint), display.viewpoint))
        case Action.HAND:
            return replace(display, upper_hand=following(tuple(Hand), display.upper_hand))
        case Action.THEME:
            return replace(display, theme=following(THEMES, display.theme))
        case Action.BIG_PRINT:
            return replace(display, print=following(tuple(Print), display.print))
        case Action.NOTATION:
            return replace(display, notation=following(tuple(Notation), display.notation))
        case Action.FULL_SCREEN:
            return replace(display, full_screen=not display.full_screen)
        case Action.AS_NEW:
            return Display(full_screen=display.full_screen, introduced=display.introduced)
        case _:
            return display
