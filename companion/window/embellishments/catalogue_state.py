"""The state of the catalogue's screen, and how keys and letters change it. Pure."""

from __future__ import annotations

from dataclasses import dataclass, replace

from companion.window.embellishments.catalogue import CatalogueRow, found_rows

LONGEST_SEARCH = 40
"""Longer than any name, so that the line of the search has an end."""


@dataclass(frozen=True, slots=True)
class CatalogueState:
    """What is searched for, "" for nothing, the rows that are found, and the rank of the marked one."""

    search: str
    rows: tuple[CatalogueRow, ...]
    rank: int = 0

    @property
    def marked(self) -> CatalogueRow | None:
        """The marked row, None where nothing is found."""
        return self.rows[self.rank] if self.rows else None

    @property
    def by_family(self) -> bool:
        """Whether the rows stand by family under headings, and not by how well they fit a search."""
        return not self.search.strip()


def opened_catalogue() -> CatalogueState:
    """All of the catalogue."""
    return CatalogueState("", found_rows(""))


def searched(state: CatalogueState, search: str) -> CatalogueState:
    """The state with another search; the best of what is found is marked."""
    wanted = search.lstrip()[:LONGEST_SEARCH]
    return state if wanted == state.search else CatalogueState(wanted, found_rows(wanted))


def cleared(state: CatalogueState) -> CatalogueState:
    """All of the catalogue again, with the same embellishment marked."""
    whole = opened_catalogue()
    marked = state.marked
    return replace(whole, rank=whole.rows.index(marked)) if marked else whole


def family_moved(state: CatalogueState, steps: int) -> CatalogueState:
    """The first row of the next family marked, or of the one before; back goes to the present one's first row first."""
    firsts = [rank for rank, row in enumerate(state.rows) if rank == 0 or row.family is not state.rows[rank - 1].family]
    beyond = [rank for rank in firsts if (rank > state.rank if steps > 0 else rank < state.rank)]
    if not beyond:
        return state
    return replace(state, rank=beyond[0] if steps > 0 else beyond[-1])
