"""What can be done on a screen: by which keys, in which words; and the few of them that stand at its foot."""

from __future__ import annotations

import enum
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Generic, TypeVar

from companion.window.core.actions import Action
from companion.window.core.caps import CAPS
from companion.window.core.display import Display
from companion.window.core.marks import Anchor, Frame, Label, Mark, Measure, Rect, Role, Style, Target
from companion.window.core.page import LEAST_TARGET_PX, Page, footer_row_height

MOST_CAPS = 7
"""Keys at the foot of a screen, at most: what more can be done stands on the sheet."""

_KEPT = 32
"""Rows of keys that are remembered: those of a few screens in a few sizes."""


class Group(enum.Enum):
    """What a piper wants to do: the groups of the sheet, in their order."""

    HEAR = "hear"
    PRACTISE = "practise"
    SEE = "see"
    PLAY = "play"
    LEARN = "learn"


@dataclass(frozen=True, slots=True)
class Hint:
    """Something that can be done now: its actions, their keys' caps, words with what is set, and a plain sentence.

    Two actions are a pair, the smaller or former one first. beside: for each action a word of its own, which stands
    beside its cap; empty for most. An action without a key is asked for on the sheet alone.
    """

    actions: tuple[Action, ...]
    caps: tuple[str, ...]
    words: str
    sentence: str
    group: Group
    beside: tuple[str, ...] = ()


State = TypeVar("State", contravariant=True)


@dataclass(frozen=True, slots=True)
class KeyHint(Generic[State]):
    """A row of a screen's table of keys: as a Hint, its words made from the screen's state."""

    actions: tuple[Action, ...]
    words: Callable[[State, Display], str]
    sentence: str
    group: Group
    beside: tuple[str, ...] = ()

    def said(self, state: State, display: Display) -> Hint:
        """The row with its words in a given state."""
        caps = tuple(CAPS[action] for action in self.actions if action in CAPS)
        return Hint(self.actions, caps, self.words(state, display), self.sentence, self.group, self.beside)


@dataclass(frozen=True, slots=True)
class KeyTable(Generic[State]):
    """All that can be done on a screen: what stands at its foot, and what the sheet shows. Both may hold a row."""

    foot: tuple[KeyHint[State], ...]
    sheet: tuple[KeyHint[State], ...]

    def keycaps(self) -> tuple[tuple[str, Action], ...]:
        """All its keys, as printed, and what each asks for."""
        actions = (action for hint in (*self.foot, *self.sheet) for action in hint.actions)
        return tuple((CAPS[action], action) for action in actions if action in CAPS)

    def at_foot(self, state: State, display: Display) -> tuple[Hint, ...]:
        """What stands at the foot in a given state."""
        return said(self.foot, state, display)

    def on_sheet(self, state: State, display: Display) -> tuple[Hint, ...]:
        """What stands on the sheet in a given state."""
        return said(self.sheet, state, display)


def said(hints: Iterable[KeyHint[State]], state: State, display: Display) -> tuple[Hint, ...]:
    """The keys with their words in a given state."""
    return tuple(hint.said(state, display) for hint in hints)


def of_use(hints: Iterable[Hint]) -> tuple[Hint, ...]:
    """The keys that do something now: those that have words."""
    return tuple(hint for hint in hints if hint.words)


def with_shift(hints: Iterable[Hint], fingers: Sequence[str]) -> tuple[Hint, ...]:
    """The keys while those with the caps `fingers` play the chanter: such a one has to be pressed with Shift."""
    return tuple(
        replace(hint, caps=tuple(f"Shift {cap}" if cap in fingers else cap for cap in hint.caps)) for hint in hints
    )


@dataclass(frozen=True, slots=True)
class _Placed:
    hint: Hint
    x: float
    row: int


def cap_width(text: str, measure: Measure) -> float:
    """The width of a key's cap."""
    return max(measure.width(text, Style.STRONG) + measure.height(Style.TEXT) * 0.6, cap_height(measure))


def cap_height(measure: Measure) -> float:
    """The height of a key's cap."""
    return float(round(measure.height(Style.TEXT) * 1.2))


def _gap(measure: Measure) -> float:
    return measure.height(Style.TEXT) * 0.3


def _cap_room(text: str, measure: Measure) -> float:
    """The width of a cap with the gap behind it: never too small to be hit by a finger."""
    return max(cap_width(text, measure) + _gap(measure), LEAST_TARGET_PX)


def _beside_width(word: str, measure: Measure) -> float:
    return measure.width(word, Style.TEXT) + 2.5 * _gap(measure) if word else 0.0


def _words_width(hint: Hint, measure: Measure) -> float:
    return max(LEAST_TARGET_PX, measure.width(hint.words, Style.TEXT)) if hint.words else 0.0


def _hint_width(hint: Hint, measure: Measure) -> float:
    caps = sum(_cap_room(text, measure) for text in hint.caps)
    return caps + sum(_beside_width(word, measure) for word in hint.beside) + _words_width(hint, measure)


@lru_cache(maxsize=_KEPT)
def _flow(hints: tuple[Hint, ...], width: float, measure: Measure) -> tuple[_Placed, ...]:
    """The place of each hint, row by row. Cached, since the keys of a screen seldom change from frame to frame."""
    space = measure.height(Style.TEXT) * 0.62
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
    """How many rows the keys take in `width` pixels; none where there are no keys."""
    return max((placed.row + 1 for placed in _flow(tuple(hints), width, measure)), default=0)


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
    row, high = footer_row_height(measure), cap_height(measure)
    wheel = (hint.actions[0], hint.actions[1]) if len(hint.actions) == 2 else None
    beside = hint.beside or ("",) * len(hint.caps)
    for text, action, word in zip(hint.caps, hint.actions, beside, strict=True):
        room = _cap_room(text, measure)
        wide = room - _gap(measure)
        marks += cap_marks(text, Rect(x, y + (row - high) / 2, wide, high))
        taken = room + _beside_width(word, measure)
        if word:
            marks.append(Label(x + room, y + row / 2, word, Style.TEXT, Role.QUIET))
        targets.append(Target(Rect(x, y, taken, row), action, wheel))
        x += taken
    if hint.words:
        marks.append(Label(x, y + row / 2, hint.words, Style.TEXT, Role.QUIET))
        words = Rect(x, y, _words_width(hint, measure), row)
        targets.append(Target(words, hint.actions[-1], wheel))


def cap_marks(text: str, cap: Rect) -> tuple[Mark, ...]:
    """A key's cap in its place."""
    middle = cap.y + cap.height / 2
    return (
        Frame(cap, Role.PAST, width=1.2, radius=5),
        Label(cap.x + cap.width / 2, middle, text, Style.STRONG, Role.INK, Anchor.CENTRE),
    )
