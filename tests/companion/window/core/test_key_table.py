"""The table of keys: one letter has one meaning, and few stand at the foot of a screen."""

from __future__ import annotations

import importlib
import pkgutil
from collections import defaultdict
from collections.abc import Iterator
from typing import Any

import pytest

import companion.window
from companion.window.core.actions import Action
from companion.window.core.caps import CAPS
from companion.window.core.hints import MOST_CAPS, KeyTable

GO_WITH_THE_SCREEN = {"↑", "↓", "PgUp", "PgDn", "Enter"}
"""Up and down go through rows or make a number less or more, the pages go to what was before and to what follows;
Enter takes what is offered."""


def tables() -> Iterator[tuple[str, KeyTable[Any]]]:
    """Every table of keys of the window, and its name."""
    for module in pkgutil.walk_packages(companion.window.__path__, "companion.window."):
        found = vars(importlib.import_module(module.name)).items()
        yield from ((f"{module.name}.{name}", each) for name, each in found if isinstance(each, KeyTable))


TABLES = dict(tables())
ALL = pytest.mark.parametrize("table", TABLES.values(), ids=list(TABLES))


def test_a_letter_has_one_meaning() -> None:
    """Of all keys only those that move have another action on another screen, and that in the same direction."""
    meanings = defaultdict(list)
    for action, cap in CAPS.items():
        meanings[cap].append(action)
    assert {cap for cap, actions in meanings.items() if len(actions) > 1} == GO_WITH_THE_SCREEN


def test_the_tables_are_found() -> None:
    """Those of all screens, from one window."""
    assert len(TABLES) >= 12


@ALL
def test_at_most_seven_keys_stand_at_the_foot(table: KeyTable[Any]) -> None:
    """Each has a cap of its own."""
    caps = [CAPS[action] for hint in table.foot for action in hint.actions]
    assert len(set(caps)) == len(caps) <= MOST_CAPS


@ALL
def test_no_key_asks_for_two_things(table: KeyTable[Any]) -> None:
    """On one screen a cap has one action."""
    asked = defaultdict(set)
    for cap, action in table.keycaps():
        asked[cap].add(action)
    assert all(len(actions) == 1 for actions in asked.values())


@ALL
def test_every_row_says_in_a_sentence_what_it_is_for(table: KeyTable[Any]) -> None:
    """Short enough for the sheet, and with a point at its end."""
    for hint in (*table.foot, *table.sheet):
        assert hint.sentence.endswith(".")
        assert 8 < len(hint.sentence) <= 95


@ALL
def test_every_screen_with_a_sheet_says_how_it_is_opened(table: KeyTable[Any]) -> None:
    """By a key at its foot."""
    if table.sheet:
        assert Action.KEYS in {action for hint in table.foot for action in hint.actions}


@ALL
def test_every_screen_can_be_left(table: KeyTable[Any]) -> None:
    """By Esc."""
    assert ("Esc", Action.LEAVE) in table.keycaps()
