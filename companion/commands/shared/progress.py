"""Shows on a terminal how far long work has come; prints nothing where nobody watches."""

from __future__ import annotations

import sys
from collections.abc import Callable

from companion.files.streams import standard_error_is_watched


class ProgressLine:
    """One line, written over whenever its words change. Where nobody watches, nothing is written."""

    def __init__(self) -> None:
        self._watched = standard_error_is_watched()
        self._words = ""

    def show(self, words: str, *, last: bool = False) -> None:
        """Write `words` over those before; after the `last` ones, which stay, another line begins."""
        if words != self._words:
            self._words = words
            self._write(f"\r{words}", end="\n" if last else "")

    def clear(self) -> None:
        """Take the line away, so that it does not stand among what follows."""
        self._write("\r\x1b[K", end="")

    def _write(self, signs: str, *, end: str) -> None:
        if self._watched:
            print(signs, end=end, file=sys.stderr, flush=True)


class Progress:
    """Counts the steps of long work and shows them on one line: "checked 12 of 300"."""

    def __init__(self, done: str, steps: int) -> None:
        """done: the word for what has happened to those that are counted, like "checked"."""
        self._done = done
        self._steps = steps
        self._count = 0
        self._line = ProgressLine() if steps > 1 else None

    def step(self) -> None:
        """Count one more."""
        self._count += 1
        if self._line:
            self._line.show(f"{self._done} {self._count} of {self._steps}")

    def end(self) -> None:
        """Clear the line, so that it does not stand among what follows."""
        if self._line:
            self._line.clear()


def percent_shown(doing: str) -> Callable[[float], None]:
    """What shows the share done, 0 to 1, on a terminal: "rendering 12 %"."""
    line = ProgressLine()

    def show(share: float) -> None:
        percent = int(100 * share)
        line.show(f"{doing} {percent} %", last=percent == 100)

    return show
