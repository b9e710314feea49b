"""Tells lines of music from lines of plain text, which people write between the fields of a tune."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from companion.score.abc.text.decorations import DEFAULT_SYMBOLS

# What may hold any letters within music: quotations, decorations, inline fields.
_NO_NOTES = re.compile(r'"[^"]*"|![^!\s]+!|\+[^+\s]+\+|\[[A-Za-z]:[^\[\]]*\]')
_LETTERS = re.compile(r"[^\W\d_]{2,}")
_MUSICAL = frozenset("ABCDEFGabcdefgxyzZX")
_DEFAULT_SYMBOLS = "".join(DEFAULT_SYMBOLS)

# Of the letters in English words some three in four are no notes; music has no other letters but symbols that stand
# before a note, which are taken away first.
_MOST_FOREIGN = 0.3


def looks_like_words(text: str, symbols: Iterable[str]) -> bool:
    """Whether a line among music is words: it has no bar line, and many of its letters are no notes.

    symbols: the letters that stand for a decoration, before a note.
    """
    return "|" not in text and _foreign_share(_NO_NOTES.sub(" ", text), "".join(symbols)) > _MOST_FOREIGN


def looks_like_music(texts: Iterable[str]) -> bool:
    """Whether any of these lines is plainly music: a bar line and notes, or gracenotes."""
    return any(("|" in text or "{" in text) and _is_music(text) for text in texts)


def _is_music(text: str) -> bool:
    signs = _NO_NOTES.sub(" ", text)
    return any(map(str.isalpha, signs)) and _foreign_share(signs, _DEFAULT_SYMBOLS) <= _MOST_FOREIGN


def _foreign_share(signs: str, symbols: str) -> float:
    """The share of the letters in groups of two or more that cannot be music, 0 to 1; `signs` is a line of them."""
    letters = "".join(_LETTERS.findall(_symbols_before_notes(symbols).sub("", signs)))
    foreign = len(letters) - sum(map(_MUSICAL.__contains__, letters))
    return foreign / len(letters) if letters else 0.0


@lru_cache(maxsize=64)
def _symbols_before_notes(symbols: str) -> re.Pattern[str]:
    return re.compile(rf"[{re.escape(symbols)}]+(?=[A-Ga-g^_=\[{{(])")
