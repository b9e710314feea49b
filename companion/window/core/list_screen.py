"""What the screens on which one of several things is chosen have in common."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from typing import Any, ClassVar

from companion.window.core.actions import Action, Intent, Pick
from companion.window.core.display import Display
from companion.window.core.hints import Group, Hint, KeyHint, KeyTable, State
from companion.window.core.look_keys import MORE_KEY, PAGE_KEYS, leave_key
from companion.window.core.screen import Screen, ScreenResult, StillScreen

MOVE_KEY: KeyHint[object] = KeyHint(
    (Action.TEMPO_DOWN, Action.TEMPO_UP), lambda state, display: "move", "Along the list.", Group.SEE
)


def list_keys(choose: str, leave: str, *more: KeyHint[State], sheet: Sequence[KeyHint[State]] = ()) -> KeyTable[State]:
    """The keys of a list: `choose` and `leave` say what Enter and Esc do.

    `more` stand behind Enter; `sheet`, which stand on the sheet alone, come before what all pages have there.
    """
    choose_key: KeyHint[object] = KeyHint(
        (Action.CHOOSE,), lambda state, display: choose, "Takes the marked row.", Group.SEE
    )
    return KeyTable((MOVE_KEY, choose_key, *more, leave_key(leave), MORE_KEY), (*more, *sheet, *PAGE_KEYS, MORE_KEY))


def moved(rank: int, rows: int, action: Action) -> int:
    """The rank after a key, or a turn of the wheel, that moves along a list."""
    match action:
        case Action.TEMPO_UP | Action.FASTER:
            return max(0, rank - 1)
        case Action.TEMPO_DOWN | Action.SLOWER:
            return max(0, min(rows - 1, rank + 1))
    return rank


class ListScreen(StillScreen, ABC):
    """A screen whose rows are moved along and chosen; `rank` is that of the one that is marked."""

    keys: ClassVar[KeyTable[Any]]

    def __init__(self, rank: int = 0) -> None:
        self.rank = rank

    @abstractmethod
    def row_count(self) -> int:
        """How many rows there are now."""

    @abstractmethod
    def choose(self, rank: int) -> ScreenResult | Screen:
        """Carry out what choosing a row asks for. `rank`: that of a row, or of one that was there when it was shown."""

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return self.keys.keycaps()

    def key_state(self) -> object:
        """The state from which the words of its keys are made; nothing for most lists."""
        return None

    def sheet(self, display: Display) -> Sequence[Hint]:
        """What the sheet shows."""
        return self.keys.on_sheet(self.key_state(), display)

    def at_foot(self, display: Display) -> tuple[Hint, ...]:
        """The keys at the foot."""
        return self.keys.at_foot(self.key_state(), display)

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Move along the rows, choose one, or leave."""
        match intent:
            case Action.LEAVE:
                return ScreenResult.CLOSE
            case Action.CHOOSE:
                return self.choose(self.rank)
            case Pick(rank):
                return self.choose(rank)
            case Action():
                self.rank = moved(self.rank, self.row_count(), intent)
        return ScreenResult.STAY
