"""Finds rows by the words that are typed: no matter the case, the accents, or the order of the words."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Sequence
from typing import TypeVar

Row = TypeVar("Row")

_LETTERS = str.maketrans(
    {"ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i", "'": "", "’": "", "‘": ""}
)
"""Letters that Unicode does not take apart into a plain one and an accent; and an apostrophe is seldom typed."""


def folded(text: str) -> str:
    """`text` as it is compared: small letters and digits without accents, each word with one blank before it."""
    plain = text.casefold()
    if not plain.isascii():
        parted = unicodedata.normalize("NFKD", text).casefold()
        plain = "".join(sign for sign in parted if not unicodedata.combining(sign))
    plain = plain.translate(_LETTERS)
    return "".join(f" {word}" for word in "".join(sign if sign.isalnum() else " " for sign in plain).split())


def found(query: str, rows: Sequence[Row], words_of: Callable[[Row], str]) -> Sequence[Row]:
    """The rows in which every word of `query` stands; first those in which each begins a word.

    words_of: the words of a row as `folded` makes them. Without any word in the query, all rows.
    """
    words = folded(query).split()
    for word in words:
        rows = [row for row in rows if word in words_of(row)]
    begun = rows
    for word in words:
        begun = [row for row in begun if f" {word}" in words_of(row)]
    first = set(map(id, begun))
    return [*begun, *(row for row in rows if id(row) not in first)]
