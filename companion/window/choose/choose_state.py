"""The state of the list: the place, what is typed, the rows that are left, the marked one. Pure."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from operator import attrgetter

from companion.window.choose.places import ChoicePage
from companion.window.choose.rows import ChoiceRow
from companion.window.choose.search import found

LONGEST_QUERY = 60
"""Letters of a search; a title has seldom more, and a key that is held must not fill the line."""

ROWS_OF_WHEEL = 3


@dataclass(frozen=True, slots=True)
class ChooseState:
    """What is shown of a place. rows: headings among them. mark: the index of the marked row, None where none can be.

    home: the row that is marked while nothing is typed.
    """

    place: ChoicePage
    rows: tuple[ChoiceRow, ...]
    mark: int | None
    home: int | None
    query: str = ""

    @property
    def marked(self) -> ChoiceRow | None:
        """The row that Enter chooses."""
        return None if self.mark is None else self.rows[self.mark]

    @property
    def count(self) -> int:
        """How many rows can be chosen."""
        return sum(row.choice is not None for row in self.rows)


def at_place(place: ChoicePage, is_home: Callable[[ChoiceRow], bool] = lambda row: False) -> ChooseState:
    """A place as it opens: the first row for which `is_home` holds is marked, else the first that leads further."""
    rows = _rows(place, "")
    homes = (rank for rank, row in enumerate(rows) if row.choice and is_home(row))
    further = (rank for rank, row in enumerate(rows) if row.words)
    home = next(homes, next(further, _first(rows)))
    return ChooseState(place, rows, home, home)


def searched(state: ChooseState, query: str) -> ChooseState:
    """The state in which `query` is typed: the rows that it finds, the first of them marked."""
    query = query[:LONGEST_QUERY]
    rows = _rows(state.place, query)
    return replace(state, rows=rows, mark=_first(rows) if query.strip() else state.home, query=query)


def moved_by(state: ChooseState, steps: int) -> ChooseState:
    """The state with the mark so many rows further down, or up if negative; headings are stepped over."""
    choosable = [rank for rank, row in enumerate(state.rows) if row.choice]
    if state.mark is None or not choosable:
        return state
    place = min(max(choosable.index(state.mark) + steps, 0), len(choosable) - 1)
    return replace(state, mark=choosable[place])


def _first(rows: Sequence[ChoiceRow]) -> int | None:
    return next((rank for rank, row in enumerate(rows) if row.choice), None)


def _rows(place: ChoicePage, query: str) -> tuple[ChoiceRow, ...]:
    """The rows of a place, each section under its heading; of a search those that it finds."""
    typed = bool(query.strip())
    rows: list[ChoiceRow] = []
    for section in place.sections:
        if section.found_only and not typed:
            continue
        shown = found(query, section.rows, attrgetter("words")) if typed else section.rows
        if shown and section.heading:
            rows.append(ChoiceRow(section.heading))
        rows += shown
    return tuple(rows)
