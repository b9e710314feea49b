"""Turns any bytes into choices, so that a fuzzer that changes bytes changes choices."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

Choice = TypeVar("Choice")


class Draws:
    """Hands out choices from the front of some bytes; once they are used up, each choice is the first one.

    Atheris has such a thing, but a case that was found must run without atheris as well.
    """

    def __init__(self, data: bytes) -> None:
        self._data = data
        self._at = 0

    @property
    def left(self) -> int:
        """How many bytes are still to be used."""
        return max(0, len(self._data) - self._at)

    def byte(self) -> int:
        """The next byte, 0 after the last."""
        self._at += 1
        return self._data[self._at - 1] if self._at <= len(self._data) else 0

    def one_of(self, choices: Sequence[Choice]) -> Choice:
        """One of some, by the next byte."""
        return choices[self.byte() % len(choices)]

    def take(self, count: int) -> bytes:
        """The next bytes, so many or as many as there are."""
        taken = self._data[self._at : self._at + count]
        self._at += len(taken)
        return taken

    def rest(self) -> bytes:
        """All that is left."""
        return self.take(self.left)
