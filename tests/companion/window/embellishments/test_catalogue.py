"""The catalogue to choose from: its rows, and the search in it."""

from __future__ import annotations

from itertools import pairwise

import pytest

from companion.window.embellishments.catalogue import catalogue_rows, found_rows
from companion.window.embellishments.catalogue_state import (
    LONGEST_SEARCH,
    CatalogueState,
    cleared,
    family_moved,
    opened_catalogue,
    searched,
)
from fingering.embellishments import Family, catalogue


def names(search: str) -> list[str]:
    """The names that a search finds."""
    return [row.name for row in found_rows(search)]


def after(search: str) -> CatalogueState:
    """The catalogue once that was typed."""
    return searched(opened_catalogue(), search)


def test_all_of_the_catalogue_is_there() -> None:
    """Each entry once."""
    assert {row.entry for row in catalogue_rows()} == set(catalogue())
    assert len(catalogue_rows()) == len(catalogue())


def test_families_stand_together_in_their_order() -> None:
    """Each family begins once."""
    families = [row.family for row in catalogue_rows()]
    begun = [each for rank, each in enumerate(families) if rank == 0 or families[rank - 1] is not each]
    assert begun == [family for family in Family if family in families]


def test_a_row_has_name_and_gracenotes() -> None:
    """As a piper reads them."""
    row = next(row for row in catalogue_rows() if row.name == "taorluath on low A")
    assert row.spelling == "GdGe"


@pytest.mark.parametrize(
    ("search", "first"),
    [
        ("tao", "taorluath on low A"),
        ("taorluath low a", "taorluath on low A"),
        ("c doubling", "C doubling"),
        ("doubling c", "C doubling"),
        ("DOUBLING C", "C doubling"),
        ("throw", "throw on D"),
        ("leum", "grip on low A"),
        ("gcd", "C doubling"),
        ("GdGeAfA", "crunluath on E"),
        ("birls", "birl on low A"),
        ("d throw", "throw on D"),
    ],
)
def test_what_a_search_finds_first(search: str, first: str) -> None:
    """By names in any order, by other names of the trade, by gracenotes."""
    assert names(search)[0] == first


def test_every_letter_narrows_what_is_found() -> None:
    """Down to nothing, which is said and not an error."""
    found = [set(names("crunluath a mach on b"[:length])) for length in range(4, 21)]
    assert all(narrower <= wider for wider, narrower in pairwise(found))
    assert names("xylophone") == []


def test_blanks_find_all() -> None:
    """A search is words."""
    assert len(names("   ")) == len(catalogue())


def test_a_search_marks_its_best_row_and_is_shortened_again() -> None:
    """What is erased widens the list."""
    state = after("birl")
    assert state.marked is not None
    assert state.marked.name == "birl on low A"
    assert searched(state, "birls").rows == state.rows
    assert searched(state, "") == opened_catalogue()


def test_a_search_has_an_end() -> None:
    """However long a key is held."""
    assert len(after("a" * 100).search) == LONGEST_SEARCH


def test_a_cleared_search_leaves_the_mark_where_it_was() -> None:
    """On the embellishment that was found."""
    state = cleared(after("crunluath"))
    assert state.search == ""
    assert state.marked is not None
    assert state.marked.name == "crunluath on E"
    assert cleared(after("zzz")) == opened_catalogue()


def test_from_family_to_family() -> None:
    """On to the first of the next, back to the first of this one and then of the one before; not past the ends."""
    state = opened_catalogue()
    assert family_moved(state, -1) == state
    doublings = family_moved(state, 1)
    assert doublings.marked is not None
    assert doublings.marked.family is Family.DOUBLING
    assert family_moved(doublings, -1) == state
    for _ in Family:
        state = family_moved(state, 1)
    assert state.marked is not None
    assert state.marked.family is Family.CUTTING
