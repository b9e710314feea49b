"""From the settled part of a way to notes that are told at once and never taken back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from companion.hearing.learning import Learnt
from companion.hearing.live.live_note import LiveNote
from companion.hearing.path import NO_PITCH, HeardStretch
from companion.hearing.telling import SHORT_S, SURE_NATS
from fingering.notes import Note


MIXED_S = 0.030
"""What is unlike all between two notes, and no longer, is told as no third: while a window holds both of them, which no
pitch fits, it is so for 10 to 15 ms, in a room for up to 25; where a note that is known too little sounds between them,
for that note's length and some 10 ms."""


class LiveTeller:
    """Tells stretches as notes: those too short go to a neighbour, a short gap between notes is what it is likest to.

    A stretch's costs are those of the pitches, of what is unlike all, and of silence; the rank of what is unlike all is
    the number of pitches.
    """

    def __init__(self, learnt: Learnt) -> None:
        self._learnt = learnt
        self._held: list[HeardStretch] = []  # settled, and over, but not told yet: short ones and gaps
        self._current = HeardStretch(NO_PITCH, 0, 0)
        self._told: Note | None = None

    def relearn(self, learnt: Learnt) -> None:
        """Go on with another voice of the same pitches."""
        self._learnt = learnt

    def tell(self, over: Sequence[HeardStretch], still: HeardStretch | None) -> Iterator[LiveNote]:
        """What the stretches that are over since, and the one that still goes on, tell."""
        for each in over:
            yield from self._take(each, over=True)
        if still is not None:
            yield from self._take(still, over=False)

    def _take(self, each: HeardStretch, *, over: bool) -> Iterator[LiveNote]:
        if each.first == self._current.first and each.pitch == self._current.pitch:
            return  # told while it went on
        gap = self._name(each.pitch) is None
        if each.stop - each.first < self._frames(SHORT_S if gap else self._learnt.shortest_s):
            if over:
                self._held.append(each)
            return
        begins = each.first
        for rank, held in enumerate(self._held):
            bridged = None if gap else self._bridged(held, each)
            if bridged is not None:
                yield from self._told_as(held, bridged, held.first)
            elif self._cost(held, each.pitch) <= self._cost(held, self._current.pitch):
                between = [other for other in self._held[rank:] if self._bridged(other, each) is not None]
                if not between or gap:
                    begins = held.first
                    break
        self._held.clear()
        self._current = each
        yield from self._told_as(each, each.pitch, begins)

    def _bridged(self, held: HeardStretch, after: HeardStretch) -> int | None:
        """The pitch of a short gap between two notes; None for what is none, or goes to a neighbour.

        A chanter never stops between notes, so that a silence is another note, as `telling` has it; what was unlike all
        may be any.
        """
        before, then = self._name(self._current.pitch), self._name(after.pitch)
        if self._name(held.pitch) is not None or before is None or then is None:
            return None
        silent = held.pitch == NO_PITCH
        if held.stop - held.first < self._frames(self._learnt.shortest_s if silent else MIXED_S):
            return None
        pitches = self._learnt.voice.pitches
        fits = [rank for rank, each in enumerate(pitches) if not silent or each.note not in (before, then)]
        best = min(fits, key=lambda rank: held.costs[rank])
        return None if pitches[best].note in (before, then) else best

    def _told_as(self, each: HeardStretch, pitch: int, first: int) -> Iterator[LiveNote]:
        note = self._name(pitch)
        if note is not self._told:
            self._told = note
            yield LiveNote(self._learnt.grid.centre_s(first - 0.5), note, self._confidence(each, note))

    def _confidence(self, each: HeardStretch, note: Note | None) -> float:
        by_name: dict[Note | None, float] = {None: min(each.costs[-1], each.costs[-2])}
        for pitch, cost in zip(self._learnt.voice.pitches, each.costs, strict=False):
            by_name[pitch.note] = min(by_name.get(pitch.note, np.inf), cost)
        margin = min(cost for name, cost in by_name.items() if name is not note) - by_name[note]
        return round(float(1.0 - 0.5 * np.exp(-max(0.0, margin) / SURE_NATS)), 3)

    def _cost(self, each: HeardStretch, pitch: int) -> float:
        return each.costs[pitch]  # NO_PITCH is the last

    def _name(self, pitch: int) -> Note | None:
        pitches = self._learnt.voice.pitches
        return pitches[pitch].note if 0 <= pitch < len(pitches) else None

    def _frames(self, seconds: float) -> int:
        return round(seconds / self._learnt.grid.hop_s)
