"""Hands the messages of a source to the window frame by frame, with an upper limit for each frame."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import Protocol

from companion.midi.stream.line import Timed

MOST_A_FRAME = 2000
"""A frame takes in no more messages than this; the rest waits for the next one."""


class NamedSource(Protocol):
    """Where messages come from: a MIDI port, or the computer's keys."""

    name: str
    last_message_s: float | None

    def fetch(self) -> Iterator[Timed]:
        """What came since the last call, in order."""


class FrameSource:
    """Passes on what a source brings, a limited number at a time; `fresh` holds the messages of the last fetch."""

    def __init__(self, source: NamedSource) -> None:
        self.source = source
        self.fresh: tuple[Timed, ...] = ()
        self._coming: Iterator[Timed] = iter(())

    def fetch(self) -> Iterator[Timed]:
        """What came since the last call, up to MOST_A_FRAME messages."""
        messages = tuple(islice(self._coming, MOST_A_FRAME))
        if len(messages) < MOST_A_FRAME:
            self._coming = self.source.fetch()
            messages += tuple(islice(self._coming, MOST_A_FRAME - len(messages)))
        self.fresh = messages
        return iter(messages)
