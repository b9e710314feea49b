"""Cleans a line of music before it is read: signs of office programs, overlays, unclosed quotations, continuations.

Characters are replaced one for one, so that columns stay those of the file.
"""

from __future__ import annotations

import re

from companion.score.abc.text.macros import Rewritten
from companion.score.form.problems import Problems
from companion.score.problems import ProblemKind

_VOICE = re.compile(r"\s*\[V:([^\]]*)\]")
_QUOTED_OR_OVERLAY = re.compile(r'"[^"]*"|&[^|]*')
_UNCLOSED_QUOTE = re.compile(r'"[^"|]*')

# What office programs and telephones make of plain signs.
_PLAIN_SIGNS = {
    '"': "“”„‟«»″",
    "'": "‘’‚′",
    "-": "–—‐‑−",
    "|": "｜¦",
    " ": "\u00a0\u2002\u2003\u2009\u200b\u202f\ufeff\x1a\x0c",
}
_PLAIN = str.maketrans({sign: plain for plain, signs in _PLAIN_SIGNS.items() for sign in signs})


def first_voice(text: str) -> re.Match[str] | None:
    """The voice that a line begins with, as group 1: ``[V:1 ...]``."""
    return _VOICE.match(text) if "[V:" in text else None


def plain_signs(text: str) -> str:
    """The line with curled quotation marks, dashes and special blanks as ABC has them, without a continuation mark."""
    if "\\" in text:
        text = text.rstrip().removesuffix("\\")
    if text.isascii() and "\x1a" not in text and "\x0c" not in text:
        return text
    return text.translate(_PLAIN)


def without_overlays(rewritten: Rewritten, line: int, problems: Problems) -> str:
    """A line's text with blanks in place of second voices within bars, which are reported."""

    def blank(match: re.Match[str]) -> str:
        if match[0].startswith('"'):
            return match[0]
        what = "a chanter plays one voice, so the overlay is left out"
        place = problems.place(line, rewritten.place_of(match.start()))
        problems.add(ProblemKind.OVERLAY, place, what, "write the melody alone")
        return " " * len(match[0])

    return _QUOTED_OR_OVERLAY.sub(blank, rewritten.text)


def without_unclosed_quotation(rewritten: Rewritten, line: int, problems: Problems) -> str:
    """A line's text with blanks in place of a quotation that is not closed, to the end of its bar; reported."""
    text = rewritten.text
    at = text.rindex('"')
    what = "a quotation mark is not closed, so what follows it in its bar is lost"
    problems.add(
        ProblemKind.QUOTATION_NOT_CLOSED, problems.place(line, rewritten.place_of(at)), what, "write the second one"
    )
    return _UNCLOSED_QUOTE.sub(lambda match: " " * len(match[0]), text[at:]).join((text[:at], ""))
