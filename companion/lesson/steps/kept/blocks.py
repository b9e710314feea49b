"""A lesson's file cut into blocks of lines: its head, a block for each step with the comment above it, and the rest.

So a step takes its comments with it wherever it goes, and each of its values can be found at its line.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

_STEP = re.compile(r"\s*\[\[\s*step\s*\]\]")
_OF_A_STEP = re.compile(r"\s*\[{1,2}\s*step\s*[.\]]")
_TABLE = re.compile(r"\s*\[{1,2}[^\[\],]+\]{1,2}\s*(#.*)?$")


@dataclass(frozen=True, slots=True)
class StepBlock:
    """The lines of one step, the comment above it included. line: the number of its `[[step]]`, from 1."""

    text: str
    line: int

    def line_of(self, key: str) -> int:
        """The number of the line with that key; of the step itself where there is none."""
        lines = self.text.splitlines()
        begin = next(rank for rank, line in enumerate(lines) if _STEP.match(line))
        wanted = re.compile(rf"\s*[\"']?{re.escape(key)}[\"']?\s*=")
        return next((self.line + rank for rank, line in enumerate(lines[begin:]) if wanted.match(line)), self.line)


@dataclass(frozen=True, slots=True)
class Blocks:
    """A file in pieces: what comes before the first step, the steps, and tables that are none, which come last."""

    head: str
    steps: tuple[StepBlock, ...]
    tail: str

    def text(self, steps: Iterator[str]) -> str:
        """A file of this head and tail around other steps, each set apart by a blank line."""
        pieces = (piece.strip("\n") for piece in (self.head, *steps, self.tail))
        return "\n\n".join(piece for piece in pieces if piece.strip()) + "\n"


def cut(text: str) -> Blocks:
    """Cut a file into its blocks."""
    lines = text.split("\n")
    headers = [rank for rank, line in enumerate(lines) if _STEP.match(line)]
    if not headers:
        return Blocks(text, (), "")
    starts = [_with_comment(lines, rank) for rank in headers]
    steps: list[StepBlock] = []
    tail: list[str] = []
    for header, (start, stop) in zip(headers, pairwise([*starts, len(lines)]), strict=True):
        end = _end(lines, header, stop)
        steps.append(StepBlock("\n".join(lines[start:end]), header + 1))
        tail += lines[end:stop]
    return Blocks("\n".join(lines[: starts[0]]), tuple(steps), "\n".join(tail))


def _with_comment(lines: list[str], header: int) -> int:
    """The first of the comment lines right above a line."""
    while header and lines[header - 1].lstrip().startswith("#"):
        header -= 1
    return header


def _end(lines: list[str], header: int, stop: int) -> int:
    """Where a step ends: before a table that is none of its own, with the comment above that."""
    others = (
        rank for rank in range(header + 1, stop) if _TABLE.match(lines[rank]) and not _OF_A_STEP.match(lines[rank])
    )
    other = next(others, None)
    return stop if other is None else _with_comment(lines, other)
