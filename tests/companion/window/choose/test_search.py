"""What is typed finds tunes however it is typed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.window.choose.search import folded, found

TITLES = (
    "The Keeper's Window",
    "Öresund Reel",
    "Le Retour de l’Été",
    "Strøm and Smaragd",
    "The Window Seat",
    "Reel of Keys",
)


def find(query: str) -> list[str]:
    """The titles that a query finds."""
    return list(found(query, TITLES, folded))


@pytest.mark.parametrize(
    ("query", "titles"),
    [
        ("keepers", ["The Keeper's Window"]),
        ("KEEPER’S win", ["The Keeper's Window"]),
        ("window the", ["The Keeper's Window", "The Window Seat"]),
        ("oresund", ["Öresund Reel"]),
        ("ÖRE", ["Öresund Reel"]),
        ("ete", ["Le Retour de l’Été"]),
        ("strom", ["Strøm and Smaragd"]),
        ("ré", ["Öresund Reel", "Le Retour de l’Été", "Reel of Keys"]),
        ("dow", ["The Keeper's Window", "The Window Seat"]),
        ("tide", []),
        (" ", list(TITLES)),
        ("!", list(TITLES)),
    ],
)
def test_a_query_finds(query: str, titles: list[str]) -> None:
    """Case, accents and apostrophes do not matter, nor the order of the words; parts of words count."""
    assert sorted(find(query)) == sorted(titles)


def test_words_that_begin_so_come_first() -> None:
    """Before those that only hold it; otherwise the order stays."""
    assert list(found("key", ("Monkey", "Turkey", "Keys", "The Key"), folded)) == [
        "Keys",
        "The Key",
        "Monkey",
        "Turkey",
    ]


@pytest.mark.same_everywhere
@given(st.text(max_size=40))
def test_anything_can_be_typed(text: str) -> None:
    """What is folded twice is as folded once, and whatever has a word finds itself."""
    assert folded(folded(text)) == folded(text)
    assert list(found(text, (text,), folded)) == [text]
