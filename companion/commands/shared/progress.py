"""A line on a terminal that says how far long work has come; nothing where nobody watches."""

from __future__ import annotations

import sys


class Progress:
    """Counts steps of so many, and shows them: "checked 12 of 300"."""

    def __init__(self, done: str, steps: int) -> None:
        """`done`: what has happened to those that are counted."""
        self._done = done
        self._steps = steps
        self._count = 0
        self._watched = steps > 1 and sys.stderr is not None and sys.stderr.isatty()

    def step(self) -> None:
        """One more is done."""
        self._count += 1
        if self._watched:
            print(f"\r{self._done} {self._count} of {self._steps}", end="", file=sys.stderr, flush=True)

    def end(self) -> None:
        """All is done: the line is cleared, so that it does not stand among what follows."""
        if self._watched:
            print("\r\x1b[K", end="", file=sys.stderr, flush=True)
