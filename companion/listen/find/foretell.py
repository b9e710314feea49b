"""Wrong notes that are told before they are settled: while a learner plays, one is of use at once or not at all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from companion.listen.align.cost import costs
from companion.listen.align.wide.history import HeardInPlace
from companion.listen.find.tell import wrong_note
from companion.listen.model.asked import Asked, is_headed
from companion.listen.model.findings import Finding
from companion.listen.model.segments import Segment
from companion.schedule.events import Event, EventKind

WrongNote = tuple[Event, Segment]
"""The melody note that was asked for, and what was heard in its place."""


class Foretelling:
    """The wrong notes that are likely by now: those after which a note was heard as asked."""

    def __init__(self, asked: Asked) -> None:
        self._asked = asked
        self._wrong: list[WrongNote] = []
        self.findings: tuple[Finding, ...] = ()

    def update(self, readings: Iterable[Sequence[HeardInPlace]]) -> None:
        """Look at the likely readings of what is not settled, the cheapest first: the first that has one counts."""
        wrong = next(filter(None, (_wrong_notes(self._asked, heard) for heard in readings)), [])
        if wrong != self._wrong:
            self._wrong = wrong
            self.findings = tuple(wrong_note(self._asked, event, segment) for event, segment in wrong)


def _wrong_notes(asked: Asked, heard: Sequence[HeardInPlace]) -> list[WrongNote]:
    """Return the wrong notes of a reading, up to the last note that was heard as asked."""
    told: list[WrongNote] = []
    waiting: list[WrongNote] = []
    for each in heard:
        token = asked.tokens[each.token]
        if token.note is each.segment.note:
            told += waiting if each.cost <= costs.FORETOLD_MOST else []
            waiting = []
        elif token.events[0].kind is EventKind.MELODY or is_headed(token):
            melody = next(event for event in token.events if event.kind is EventKind.MELODY)
            waiting.append((melody, each.segment))
    return told
