"""The catalogue of embellishments as rows to choose from, by family, and the search in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from fingering.embellishments import Entry, Family, catalogue
from fingering.notes import Note

_NEVER = 99


@dataclass(frozen=True, slots=True)
class CatalogueRow:
    """One embellishment of the catalogue onto one note. words: those of all its names, for the search, lower case."""

    entry: Entry
    name: str
    spelling: str
    words: frozenset[str]

    @property
    def family(self) -> Family:
        """The family that it stands with."""
        return self.entry.embellishment.family


@cache
def catalogue_rows() -> tuple[CatalogueRow, ...]:
    """All embellishments by family; in a family those that can come from any note before those for one note only."""
    rows = tuple(_row(entry) for entry in catalogue())
    order = tuple(Family)
    return tuple(sorted(rows, key=lambda row: (order.index(row.family), not row.entry.approach.is_usual)))


def _row(entry: Entry) -> CatalogueRow:
    embellishment = entry.embellishment
    names = (*entry.names, embellishment.full_name.lower(), embellishment.family.plural, embellishment.family.value)
    words = frozenset(word for name in names for word in name.split())
    return CatalogueRow(entry, embellishment.full_name, embellishment.spelling, words)


def found_rows(search: str) -> tuple[CatalogueRow, ...]:
    """The rows that a search finds, in the catalogue's order; those whose name it begins or spells come first.

    Each word of the search must begin a word of one of the names, in any order, or it is the gracenotes' letters.
    """
    wanted = search.lower().split()
    if not wanted:
        return catalogue_rows()
    ranked = [(_closeness(row, search.strip(), wanted), row) for row in catalogue_rows()]
    found = (each for each in ranked if each[0] < _NEVER)
    # Onto low G tunes ask for hardly any (common practice, no source): whoever types a name means another.
    return tuple(row for _, row in sorted(found, key=lambda each: (each[0], _is_onto_low_g(each[1]))))


def _is_onto_low_g(row: CatalogueRow) -> bool:
    return row.entry.embellishment.onto is Note.LOW_G


def _closeness(row: CatalogueRow, search: str, wanted: Sequence[str]) -> int:
    """How well a row fits a search, the less the better; _NEVER where it does not."""
    if search == row.spelling:
        return 0
    if all(any(word.startswith(each) for word in row.words) for each in wanted):
        if row.name.lower().startswith(" ".join(wanted)):
            return 1
        return 2 if all(each in row.words for each in wanted) else 3
    return 4 if len(search) > 1 and row.spelling.lower().startswith(search.lower()) else _NEVER
