"""Lays out a screen's keys as caps that can be read and clicked, in as many rows as they need."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Generic, TypeVar

from companion.window.core.actions import Action
from companion.window.core.display import Display, Print
from companion.window.core.marks import Anchor, Frame, Label, Mark, Measure, Rect, Role, Style, Target
from companion.window.core.page import Page, footer_row_height

_KEPT = 32
"""Rows of keys that are remembered: those of a few screens in a few sizes."""


@dataclass(frozen=True, slots=True)
class Hint:
    """One or two keys, each with its cap and its action, and the words beside them."""

    keys: tuple[tuple[str, Action], ...]
    words: str


State = TypeVar("State", contravariant=True)


@dataclass(frozen=True, slots=True)
class KeyHint(Generic[State]):
    """One or two keys, and a function that makes the words beside them from a screen's state."""

    keys: tuple[tuple[str, Action], ...]
    words: Callable[[State, Display], str]


def keys_of(hints: Iterable[KeyHint[Any]]) -> tuple[tuple[str, Action], ...]:
    """All keys of hints, as printed, and what each asks for."""
    return tuple(key for hint in hints for key in hint.keys)


PAGE_KEYS: tuple[KeyHint[object], ...] = (
    KeyHint((("T", Action.THEME),), lambda state, display: display.theme.name),
    KeyHint((("B", Action.BIG_PRINT),), lambda state, display: "big print"),
    KeyHint((("F", Action.FULL_SCREEN),), lambda state, display: "full screen"),
)
LOOK_KEYS: tuple[KeyHint[object], ...] = (
    KeyHint((("S", Action.VIEWPOINT),), lambda state, display: display.viewpoint.value),
    KeyHint((("H", Action.HAND),), lambda state, display: display.upper_hand.value),
    *PAGE_KEYS,
)
MORE_KEYS: tuple[KeyHint[object], ...] = (
    KeyHint((("K", Action.KEYS),), lambda state, display: "fewer keys" if display.all_keys else "all keys"),
)


def shown(first: Sequence[KeyHint[State]], rest: Sequence[KeyHint[State]], display: Display) -> list[KeyHint[State]]:
    """The keys to show: all; in big print, to save room, only the `first` and the one that shows the rest."""
    if display.all_keys:
        return [*first, *rest, *MORE_KEYS]
    return [*first, *rest] if display.print is Print.NORMAL else [*first, *MORE_KEYS]


def said(hints: Sequence[KeyHint[State]], state: State, display: Display) -> tuple[Hint, ...]:
    """The keys with their words in a given state."""
    return tuple(Hint(hint.keys, hint.words(state, display)) for hint in hints)


@dataclass(frozen=True, slots=True)
class _Placed:
    hint: Hint
    x: float
    row: int


def _cap_width(text: str, measure: Measure) -> float:
    return max(measure.width(text, Style.STRONG) + measure.height(Style.TEXT) * 0.55, footer_row_height(measure))


def _gap(measure: Measure) -> float:
    return measure.height(Style.TEXT) * 0.3


def _hint_width(hint: Hint, measure: Measure) -> float:
    gap = _gap(measure)
    return sum(_cap_width(text, measure) + gap for text, _ in hint.keys) + measure.width(hint.words, Style.TEXT)


@lru_cache(maxsize=_KEPT)
def _flow(hints: tuple[Hint, ...], width: float, measure: Measure) -> tuple[_Placed, ...]:
    """The place of each hint, row by row. Cached, since the keys of a screen seldom change from frame to frame."""
    space = measure.height(Style.TEXT) * 0.9
    placed: list[_Placed] = []
    x, row = 0.0, 0
    for hint in hints:
        taken = _hint_width(hint, measure)
        if x > 0 and x + taken > width:
            x, row = 0.0, row + 1
        placed.append(_Placed(hint, x, row))
        x += taken + space
    return tuple(placed)


def hint_rows(hints: Sequence[Hint], width: float, measure: Measure) -> int:
    """How many rows the keys take in `width` pixels."""
    return max((placed.row for placed in _flow(tuple(hints), width, measure)), default=0) + 1


def footer_of(hints: Sequence[Hint], page: Page, measure: Measure) -> Rect:
    """The place of the keys at the foot of a page."""
    return page.footer(hint_rows(hints, page.inner, measure))


def hint_marks(hints: Sequence[Hint], area: Rect, measure: Measure) -> tuple[list[Mark], list[Target]]:
    """The keys as marks and as click targets; a click on the words does what the last key beside them does."""
    marks, targets = _marks_and_targets(tuple(hints), area, measure)
    return list(marks), list(targets)


@lru_cache(maxsize=_KEPT)
def _marks_and_targets(
    hints: tuple[Hint, ...], area: Rect, measure: Measure
) -> tuple[tuple[Mark, ...], tuple[Target, ...]]:
    marks: list[Mark] = []
    targets: list[Target] = []
    for placed in _flow(hints, area.width, measure):
        y = area.y + placed.row * footer_row_height(measure)
        _add_hint(placed.hint, area.x + placed.x, y, measure, marks, targets)
    return tuple(marks), tuple(targets)


def _add_hint(hint: Hint, x: float, y: float, measure: Measure, marks: list[Mark], targets: list[Target]) -> None:
    row = footer_row_height(measure)
    gap = _gap(measure)
    actions = [action for _, action in hint.keys]
    wheel = (actions[0], actions[1]) if len(actions) == 2 else None
    for text, action in hint.keys:
        width = _cap_width(text, measure)
        cap = Rect(x, y + 2, width, row - 5)
        marks.append(Frame(cap, Role.PAST, width=1.2, radius=5))
        marks.append(Label(x + width / 2, cap.y + cap.height / 2, text, Style.STRONG, Role.INK, Anchor.CENTRE))
        targets.append(Target(Rect(x, y, width, row), action, wheel))
        x += width + gap
    marks.append(Label(x, y + 2 + (row - 5) / 2, hint.words, Style.TEXT, Role.QUIET))
    words = Rect(x, y, max(24.0, measure.width(hint.words, Style.TEXT)), row)
    targets.append(Target(words, actions[-1], wheel))
