"""The listener: hears a learner event by event, and says what it finds as soon as it is sure of it.

A take from a file goes through the same listener, so live and from a file the findings are the same.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable

from companion.listen.align.aligner import Aligner
from companion.listen.align.reading.steps import ReadStep
from companion.listen.find.foretell import Foretelling
from companion.listen.find.interpret import Interpreter
from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, in_order
from companion.listen.model.played import Played
from companion.listen.model.segments import Segment, Segmenter
from companion.listen.model.strictness import Strictness
from companion.listen.model.tally import Tally


class Listener:
    """Hears one take of one tune, on the terms on which it was asked for. Times of events are seconds on any clock
    that does not go back."""

    def __init__(self, asked: Asked, strictness: Strictness = Strictness.USUAL) -> None:
        self._segmenter = Segmenter()
        self._aligner = Aligner(asked)
        self._interpreter = Interpreter.of(asked, strictness)
        self._steps: deque[ReadStep] = deque()
        self._foretelling = Foretelling(asked)

    @property
    def tally(self) -> Tally:
        """What was heard so far, counted."""
        return self._interpreter.tally

    @property
    def likely(self) -> tuple[Finding, ...]:
        """Wrong notes that are not settled yet, but likely: each is returned once it is settled, or given up."""
        return self._foretelling.findings

    def feed(self, event: Played) -> list[Finding]:
        """Hear one event; returns what it shows. Raises UserError when time runs backwards."""
        return self._read(self._segmenter.feed(event))

    def advance(self, now_s: float) -> list[Finding]:
        """Let time pass without an event, up to `now_s`; returns what the note that goes on sounding shows by its
        length."""
        return self._read(self._segmenter.advance(now_s))

    def finish(self) -> list[Finding]:
        """The take is over; returns the last findings."""
        found = self._read(self._segmenter.finish())
        self._foretelling.update(())
        self._steps.extend(self._aligner.finish())
        return found + self._interpret() + self._interpreter.finish()

    def _read(self, segments: Iterable[Segment]) -> list[Finding]:
        found: list[Finding] = []
        for segment in segments:
            self._steps.extend(self._aligner.push(segment))
            found += self._interpret()
            self._foretelling.update(self._aligner.likely_readings())
        return found

    def _interpret(self) -> list[Finding]:
        found: list[Finding] = []
        while self._steps:
            found += self._interpreter.take(self._steps.popleft())
        return found


def listen(events: Iterable[Played], listener: Listener) -> tuple[Finding, ...]:
    """All findings of a whole take, in order of time. Raises UserError when time runs backwards."""
    found = [finding for event in events for finding in listener.feed(event)]
    found += listener.finish()
    return in_order(found)
