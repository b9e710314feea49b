"""Free play in pieces: what is played without a tune, from its first note to a long silence."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from companion.listen.model.played import Played

PAUSE_S = 8.0
"""A silence as long ends a piece: nobody stops so long within a tune. A choice, no source."""

FEWEST_EVENTS = 8
"""Fewer are a try of the instrument, and no piece that could be written down."""

MOST_EVENTS = 90_000
"""As many as a take holds (`companion.midi.takes.recorder`)."""


@dataclass(frozen=True, slots=True)
class FreeRun:
    """Somebody plays freely since `began_s`, and the clock of what is played shows `at_s`."""

    began_s: float
    at_s: float

    def goes_on(self, before: object) -> bool:
        """Whether this is the same piece a moment later."""
        return isinstance(before, FreeRun) and before.began_s == self.began_s


class FreePieces:
    """Follows free play, and holds the piece in hand and the last one before it that is long enough. For one thread."""

    def __init__(self) -> None:
        self._begun_s: float | None = None
        self._events: list[Played] = []
        self._before: list[Played] = []

    def follow(self, now_s: float, played: Iterable[Played], *, silent_since_s: float | None) -> FreeRun | None:
        """One frame: what was played since the last one. Returns the piece that is played now, None between two.

        silent_since_s: since when nothing sounds, None while something does.
        """
        came = list(played)
        if self._begun_s is None and came:
            self._begun_s = came[0].at_s
            if len(self._events) >= FEWEST_EVENTS:
                self._before = self._events
            self._events = []
        self._events += came[: max(0, MOST_EVENTS - len(self._events))]
        if not came and silent_since_s is not None and now_s - silent_since_s > PAUSE_S:
            self._begun_s = None
        return None if self._begun_s is None else FreeRun(self._begun_s, now_s)

    def end(self) -> None:
        """What is played from now on is no part of the piece in hand."""
        self._begun_s = None

    @property
    def piece(self) -> tuple[Played, ...]:
        """The piece in hand, or the last one; the one before where that one is too short to be any."""
        return tuple(self._events if len(self._events) >= FEWEST_EVENTS else self._before or self._events)
