"""Reads the numbers of endings in all the ways that people write them."""

from __future__ import annotations

import re

MAX_PASSES = 64
"""How often a stretch may be repeated."""

_ENDING = re.compile(r"(\d{1,4})(?:\s*-\s*(\d{1,4}))?")
_LAST = re.compile(r"(?i)\blast\b")
_IN_WORDS = {"first": "1", "second": "2", "third": "3", "fourth": "4"}
_WORDED = re.compile(rf"(?i)[\^_<>@]?\s*(?:\d(?:st|nd|rd|th)|{'|'.join(_IN_WORDS)}|last)\s+(?:time|ending)s?[.:]?\s*")


def is_worded_ending(text: str) -> bool:
    """Whether words beside a bar line say that an ending begins: "1st time", "second ending", "last time"."""
    return _WORDED.fullmatch(text) is not None


def read_passes(text: str, after: int) -> tuple[int, ...]:
    """The repetitions of an ending: ``1``, ``1,3``, ``1-3``, ``2nd time``, ``last``; () where it names none.

    after: the highest number of the ending before it; "last" is the one after that.
    """
    passes: set[int] = set()
    text = re.sub(r"[a-z]+", lambda word: _IN_WORDS.get(word[0], word[0]), text.lower())
    for first, last in _ENDING.findall(text):
        passes.update(range(int(first), min(int(last or first), MAX_PASSES) + 1))
    if not passes and _LAST.search(text):
        passes = {after + 1}
    return tuple(sorted(each for each in passes if 1 <= each <= MAX_PASSES))
