"""Joins tied notes (ABC 2.1 section 4.11)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from companion.score.form.problems import Problems
from companion.score.form.written import WrittenBar
from companion.score.model import MelodyNote
from companion.score.place import Place
from companion.score.problems import ProblemKind


def join_ties(written: Sequence[WrittenBar], order: Sequence[int], problems: Problems) -> None:
    """Join tied notes of one pitch into one note in the bar of the first, in place; every bar keeps what is left in it.

    order: indices of the bars as played. The ranks of the notes are given anew.
    """
    if not any(bar.tied for bar in written):
        return
    _TieJoiner(written, order, problems).join()
    rank = 0
    for bar in written:
        bar.notes = [note._replace(rank=i) for i, note in enumerate(bar.notes, start=rank)]
        rank += len(bar.notes)


@dataclass(slots=True)
class _Held:
    """A note that a tie may lengthen: its bar, and its rank among the notes that are kept there."""

    bar: WrittenBar
    rank: int

    @property
    def note(self) -> MelodyNote:
        return self.bar.notes[self.rank]

    @property
    def place(self) -> Place:
        return self.note.place


class _TieJoiner:
    """Walks along the notes; `held` is the note that a tie may lengthen."""

    def __init__(self, written: Sequence[WrittenBar], order: Sequence[int], problems: Problems) -> None:
        self._written = written
        self._problems = problems
        self._played_on_end = _played_on_end(order)
        self._held: _Held | None = None

    def join(self) -> None:
        for i, bar in enumerate(self._written):
            if self._held and (i - 1, i) not in self._played_on_end:
                self._part("a tie reaches over bars that are not always played one after the other")
            notes, lengths, tied = bar.notes, bar.lengths, frozenset(bar.tied)
            bar.notes, bar.lengths = [], []
            for rank, (note, ticks) in enumerate(zip(notes, lengths, strict=True)):
                self._take(bar, note, ticks, tied=rank in tied)
        if self._held:
            self._part("no note follows this tie")

    def _take(self, bar: WrittenBar, note: MelodyNote, ticks: int, *, tied: bool) -> None:
        """Add a note to the one before that is tied to it, or keep it as a note of its own."""
        held = self._held
        if held and note.gracenotes:
            self._part("gracenotes part the notes of a tie")
        elif held and note.note is not held.note.note:
            self._part("a tie leads to another note")
        elif held:
            held.bar.set_length(held.rank, held.bar.lengths[held.rank] + ticks)
            self._held = held if tied else None
            return
        bar.add(note, ticks)
        self._held = _Held(bar, len(bar.notes) - 1) if tied else None

    def _part(self, what: str) -> None:
        if self._held:
            self._problems.add(ProblemKind.TIE_ALONE, self._held.place, what, "take the '-' out")
        self._held = None


def _played_on_end(order: Sequence[int]) -> set[tuple[int, int]]:
    """Pairs of neighbouring bars of which neither is ever played without the other right after or before it."""
    pairs = {*pairwise(order), (-1, order[0]), (order[-1], -1)}
    followers: dict[int, int] = {}
    leaders: dict[int, int] = {}
    for left, right in pairs:
        followers[left] = followers.get(left, 0) + 1
        leaders[right] = leaders.get(right, 0) + 1
    return {(left, right) for left, right in pairs if followers[left] == leaders[right] == 1}
