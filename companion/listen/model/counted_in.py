"""Tells what is played for a tune from what sounded before it: while it was counted in, or as a round began again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from companion.listen.model.played import Played, Sounded

EARLIEST_S = 0.2
"""A first note may come so much before the tune starts: more than anyone is early by who plays to a count, less than a
beat of the fastest tunes. Common practice, no source."""

HELD_ON_S = 0.2
"""What sounds since the count, and so long after the tune's start as well, is the tune's first note. A note that was
only tried gives way to that one sooner, even under late fingers."""


_SAME_S = 0.001  # a take's file tells times no finer


class CountedInGate:
    """Lets through what is played from `starts_s` on, where a tune that was counted in starts. What is played during
    the count passes on nothing, but for a first note that is early or was held since then.
    """

    def __init__(self, starts_s: float) -> None:
        self._starts_s = starts_s
        self._held: Played | None = None

    def hold(self, played: Played) -> None:
        """Tell what sounds before the start, whenever that began; silence takes it back."""
        self._held = None if isinstance(played, Sounded) and played.note is None else played

    def feed(self, played: Played) -> Iterator[Played]:
        """Yield what is to be heard of an event, in order of time; events come in that order."""
        if played.at_s < self._starts_s - EARLIEST_S:
            self.hold(played)
            return
        held, self._held = self._held, None
        if held is not None and played.at_s >= self._starts_s + HELD_ON_S:
            yield replace(held, at_s=self._starts_s)
        yield played


def after_held(events: Iterable[Played], begins_s: float) -> Iterator[Played]:
    """Yield what is to be heard of a take that began while something sounded already, which is told at `begins_s`: as
    after a count, it is the first note only if it goes on."""
    gate = CountedInGate(begins_s)
    for played in events:
        if played.at_s <= begins_s + _SAME_S:
            gate.hold(played)
        else:
            yield from gate.feed(played)


def after_count(events: Iterable[Played], starts_s: float) -> Iterator[Played]:
    """Yield what is to be heard of a whole take whose tune was counted in and starts at `starts_s`."""
    gate = CountedInGate(starts_s)
    for played in events:
        yield from gate.feed(played)
