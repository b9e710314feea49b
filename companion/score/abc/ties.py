"""Joins tied notes (ABC 2.1 section 4.11)."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from companion.score.abc.problems import Problems
from companion.score.abc.written import WrittenBar, WrittenNote


def join_ties(written: Sequence[WrittenBar], order: Sequence[int], problems: Problems) -> None:
    """Tied notes of one pitch become one note in the bar of the first; every bar keeps what is left in it."""
    if any(note.tied for bar in written for note in bar.notes):
        _TieJoiner(written, order, problems).join()


class _TieJoiner:
    """Walks along the notes; `held` is the note that a tie would lengthen."""

    def __init__(self, written: Sequence[WrittenBar], order: Sequence[int], problems: Problems) -> None:
        self._written = written
        self._problems = problems
        self._played_on_end = _played_on_end(order)
        self._held: WrittenNote | None = None

    def join(self) -> None:
        for i, bar in enumerate(self._written):
            if self._held and (i - 1, i) not in self._played_on_end:
                self._part("a tie reaches over bars that are not always played one after the other")
            bar.notes = [note for note in bar.notes if not self._joins(note)]
        if self._held:
            self._part("no note follows this tie")

    def _joins(self, note: WrittenNote) -> bool:
        """Whether `note` is swallowed by the one before."""
        held = self._held
        if held and note.gracenotes:
            self._part("gracenotes part the notes of a tie")
        elif held and note.note is not held.note:
            self._part("a tie leads to another note")
        elif held:
            held.ticks += note.ticks
            self._held = held if note.tied else None
            return True
        self._held = note if note.tied else None
        return False

    def _part(self, what: str) -> None:
        if self._held:
            self._problems.warn(self._held.place, what, "take the '-' out")
        self._held = None


def _played_on_end(order: Sequence[int]) -> set[tuple[int, int]]:
    """Pairs of bars of which neither is ever played without the other beside it."""
    pairs = {*pairwise(order), (-1, order[0]), (order[-1], -1)}
    followers: dict[int, int] = {}
    leaders: dict[int, int] = {}
    for left, right in pairs:
        followers[left] = followers.get(left, 0) + 1
        leaders[right] = leaders.get(right, 0) + 1
    return {(left, right) for left, right in pairs if followers[left] == leaders[right] == 1}
