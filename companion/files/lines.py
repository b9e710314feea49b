"""Makes text from a file or a user safe to print: one line, no control characters, cut to a length."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

LONGEST_QUOTED = 40
"""Characters of a stranger's text that a message repeats: enough to find it, and a line still holds the message."""


LONGEST_NAME = 255
"""Characters of a word that is repeated outside quotation marks, as the place of a fault: no file's name is longer."""


def one_line(text: str) -> str:
    """`text` with every character that does not print shown by its code: a newline as ``<0A>``.

    Blanks of all sorts, which word processors put between words, become plain ones.
    """
    if text.isprintable():
        return text
    return "".join(map(_shown, text))


def _shown(sign: str) -> str:
    if sign.isprintable():
        return sign
    return " " if unicodedata.category(sign) == "Zs" else f"<{ord(sign):02X}>"


def quoted(text: str) -> str:
    """`text` in quotation marks, as one line, cut after LONGEST_QUOTED characters."""
    shown = text if len(text) <= LONGEST_QUOTED else f"{text[:LONGEST_QUOTED]}…"
    return f"'{one_line(shown)}'"


def in_brief(text: str, words: Iterable[str]) -> str:
    """A message as one line in which the `words` of a user are shortened, each of them and the parts around its "="."""
    parts = {part for word in words for part in (word, word.partition("=")[2], *word.split("="))}
    for part in sorted(parts, key=len, reverse=True):
        if len(part) > LONGEST_QUOTED:
            text = text.replace(repr(part), quoted(part)).replace(f"'{part}'", quoted(part))
        if len(part) > LONGEST_NAME:
            text = text.replace(part, f"{part[:LONGEST_QUOTED]}…")
    return one_line(text)
