"""The table of keys of the catalogue. Letters are none of them: they are the search; so there is no sheet either."""

from __future__ import annotations

from companion.window.core.actions import Action
from companion.window.core.caps import CAPS
from companion.window.core.hints import Group, KeyHint, KeyTable
from companion.window.core.list_screen import MOVE_KEY
from companion.window.embellishments.catalogue_state import CatalogueState

_FAMILY: KeyHint[CatalogueState] = KeyHint(
    (Action.BACK, Action.ON), lambda state, display: "family", "To the family before, or to the next.", Group.SEE
)
_CHOOSE: KeyHint[CatalogueState] = KeyHint(
    (Action.CHOOSE,), lambda state, display: "watch it", "Shows the marked one alone, round and round.", Group.LEARN
)
_LEAVE: KeyHint[CatalogueState] = KeyHint(
    (Action.LEAVE,),
    lambda state, display: "clear the search" if state.search else "back",
    "Goes one level back.",
    Group.SEE,
)
CATALOGUE_KEYS: KeyTable[CatalogueState] = KeyTable(foot=(MOVE_KEY, _FAMILY, _CHOOSE, _LEAVE), sheet=())


def catalogue_caps() -> tuple[tuple[str, Action], ...]:
    """The keys in force: those at the foot, and the one that takes a letter back."""
    actions = (*(action for hint in CATALOGUE_KEYS.foot for action in hint.actions), Action.ERASE)
    return tuple((CAPS[action], action) for action in actions)
