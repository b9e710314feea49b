"""From the settled part of a way to notes that are told at once and never taken back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from companion.hearing.learnt import Learnt
from companion.hearing.live.live_note import LiveNote
from companion.hearing.path import NO_PITCH, HeardStretch
from companion.hearing.telling import SHORT_S, SURE_NATS
from fingering.notes import Note

MIXED_S = 0.030
"""What is unlike all between two notes, and no longer, is told as no third: while a window holds both of them, which no
pitch fits, it is so for 10 to 15 ms, in a room for up to 25; where a note that is known too little sounds between them,
for that note's length and some 10 ms."""

LEAST_FRAMES = 3
"""The frames, 7.5 ms, that must be like a note itself: then 12 to 15 ms of it have been heard."""

STILL_NATS = 3.5
"""A long gap in a room that costs no more than so much more a frame as a pitch is that pitch: a note that its own echo
weakens, or one hardly louder than the background. On trial (seeds 2603, 2604, 3101, 3103, all sources) notes that had
been told as over cost up to 2.9 more, but for one of 38 (4.9), what was over 4.3 and more."""


class LiveTeller:
    """Tells stretches as notes: those too short go to a neighbour, a short gap between notes is what it is likest to.

    A stretch's costs are those of the pitches, of what is unlike all, and of silence; the rank of what is unlike all is
    the number of pitches.
    """

    def __init__(self, learnt: Learnt) -> None:
        self._learnt = learnt
        self._held: list[HeardStretch] = []  # settled, and over, but not told yet: short ones and gaps
        self._current = HeardStretch(NO_PITCH, -1, -1)
        self._told: Note | None = None
        self._began = -1  # the frame of what was told last

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
        each = self._sounding_on(each)
        gap = self._name(each.pitch) is None
        told_before = each.first == self._current.first
        if told_before and (not gap or self._name(self._current.pitch) is None):
            return  # told while it went on
        run = self._run_up_to(each)
        if not self._lasts(each, run):
            if over:
                self._held.append(each)
            return
        before = self._held[: len(self._held) - len(run)]
        begins = run[0].first if run else each.first
        if begins == self._began:
            begins = each.stop - 1  # up to now it was told as a note
        for rank, held in enumerate(before):
            bridged = None if gap else self._bridged(held, each)
            if bridged is not None:
                yield from self._told_as(held, bridged, held.first)
            elif self._is_mixed(held) and self._name(self._current.pitch) is not None and not gap:
                if rank + 1 == len(before):
                    begins = held.first + (held.stop - held.first) // 2
            elif self._cost(held, each.pitch) <= self._cost(held, self._current.pitch):
                between = [other for other in before[rank:] if self._bridged(other, each) is not None]
                if not between or gap:
                    begins = held.first
                    break
        self._held.clear()
        self._current = each
        yield from self._told_as(each, each.pitch, begins)

    def _sounding_on(self, each: HeardStretch) -> HeardStretch:
        """A stretch, as the pitch that it is likest to if it is a long gap in a room that may as well be that."""
        frames, pitches = each.stop - each.first, len(self._learnt.voice.pitches)
        if self._learnt.echo is None or self._name(each.pitch) is not None or frames < self._frames(SHORT_S):
            return each
        best = min(range(pitches), key=lambda rank: each.costs[rank])
        still = each.costs[best] - min(each.costs[pitches:]) < STILL_NATS * frames
        return replace(each, pitch=best) if still else each

    def _run_up_to(self, each: HeardStretch) -> list[HeardStretch]:
        """The stretches that were held right before one and have its name: other fingerings of the same note."""
        name = self._name(each.pitch)
        run: list[HeardStretch] = []
        for held in reversed(self._held):
            if name is None or self._name(held.pitch) is not name:
                break
            run.insert(0, held)
        return run

    def _lasts(self, each: HeardStretch, run: Sequence[HeardStretch]) -> bool:
        """Whether a stretch, with the run of its name before it, is long enough to be told: half of the time in which a
        window holds the note before too is its own."""
        if self._name(each.pitch) is None:
            return each.stop - each.first >= self._frames(SHORT_S)
        own = each.stop - (run[0].first if run else each.first)
        before = self._held[: len(self._held) - len(run)]
        mixed = (before[-1].stop - before[-1].first) // 2 if before and self._is_mixed(before[-1]) else 0
        return own >= LEAST_FRAMES and own + mixed >= self._frames(self._learnt.shortest_s)

    def _is_mixed(self, held: HeardStretch) -> bool:
        """Whether two notes may be what is heard at once."""
        unlike = held.pitch == len(self._learnt.voice.pitches)
        return unlike and held.stop - held.first < self._frames(MIXED_S)

    def _bridged(self, held: HeardStretch, after: HeardStretch) -> int | None:
        """The pitch of a short gap between two notes; None for what is none, or goes to a neighbour.

        A chanter never stops between notes, so that a silence is another note, as `telling` has it; but in a room a
        note may be as soft for a moment as it and its own echo weaken each other. What was unlike all may be any.
        """
        before, then = self._name(self._current.pitch), self._name(after.pitch)
        if self._name(held.pitch) is not None or before is None or then is None:
            return None
        silent = held.pitch == NO_PITCH
        alone = silent or before is then  # one note is not heard as two at once
        if held.stop - held.first < self._frames(self._learnt.shortest_s if alone else MIXED_S):
            return None
        pitches = self._learnt.voice.pitches
        is_other = silent and self._learnt.echo is None
        fits = [rank for rank, each in enumerate(pitches) if not is_other or each.note not in (before, then)]
        best = min(fits, key=lambda rank: held.costs[rank])
        return None if pitches[best].note in (before, then) else best

    def _told_as(self, each: HeardStretch, pitch: int, first: int) -> Iterator[LiveNote]:
        note = self._name(pitch)
        if note is not self._told:
            self._told, self._began = note, first
            yield LiveNote(self._learnt.grid.centre_s(first - 0.5), note, self._confidence(each, note))

    def _confidence(self, each: HeardStretch, note: Note | None) -> float:
        by_name: dict[Note | None, float] = {None: min(each.costs[-1], each.costs[-2])}
        for pitch, cost in zip(self._learnt.voice.pitches, each.costs, strict=False):
            by_name[pitch.note] = min(by_name.get(pitch.note, np.inf), cost)
        margin = min(cost for name, cost in by_name.items() if name is not note) - by_name[note]
        return round(float(1.0 - 0.5 * np.exp(-max(0.0, margin) / SURE_NATS)), 3)

    def _cost(self, each: HeardStretch, pitch: int) -> float:
        """The cost of a stretch as a pitch or another fingering of its note."""
        name = self._name(pitch)
        if name is None:
            return each.costs[pitch]  # NO_PITCH is the last
        pitches = self._learnt.voice.pitches
        return min(cost for cost, other in zip(each.costs, pitches, strict=False) if other.note is name)

    def _name(self, pitch: int) -> Note | None:
        pitches = self._learnt.voice.pitches
        return pitches[pitch].note if 0 <= pitch < len(pitches) else None

    def _frames(self, seconds: float) -> int:
        return round(seconds / self._learnt.grid.hop_s)
