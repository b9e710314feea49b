"""What was asked and what was played, as hole states."""

from __future__ import annotations

import pytest

from companion.listen.model.played import Fingered, Played, Sounded
from companion.listen.report.overlay import asked_spans, played_spans
from companion.schedule.events import EventKind
from fingering.chart import chart
from fingering.holes import HoleState
from fingering.movement import gracenote_states
from fingering.notes import Note
from tests.companion.listen.playing import asked_of


@pytest.mark.parametrize(("lasts_s", "brief"), [(0.04, True), (0.105, True), (0.115, False), (0.5, False)])
def test_a_brief_note_is_fingered_as_a_gracenote(lasts_s: float, brief: bool) -> None:
    """Up to 110 ms a D before low A is a finger lifted from low A; a longer one has its own fingers (a choice)."""
    events = [Sounded(1.0, Note.D), Sounded(1.0 + lasts_s, Note.LOW_A), Sounded(3.0, None)]
    first, second = played_spans(events)
    (over_a,) = gracenote_states([Note.D], Note.LOW_A)
    assert over_a != chart(Note.D)
    assert first.state == (over_a if brief else chart(Note.D))
    assert (first.start_s, first.end_s, second.end_s) == (1.0, 1.0 + lasts_s, 3.0)
    assert second.state == chart(Note.LOW_A)


def test_brief_notes_in_a_row_are_fingered_together() -> None:
    """G and D before B, as one embellishment; before a silence the last of them is a note of its own."""
    told = [Sounded(1.0, Note.HIGH_G), Sounded(1.04, Note.D), Sounded(1.08, Note.B), Sounded(2.0, None)]
    assert [span.state for span in played_spans(told)] == [
        *gracenote_states([Note.HIGH_G, Note.D], Note.B),
        chart(Note.B),
    ]
    cut = [Sounded(1.0, Note.HIGH_G), Sounded(1.04, Note.D), Sounded(1.08, None)]
    assert [span.state for span in played_spans(cut)] == [*gracenote_states([Note.HIGH_G], Note.D), chart(Note.D)]


def test_what_fingers_told_themselves_stays_as_it_was() -> None:
    """Whatever it sounds, and however briefly; silence and what lasted for no time have no state."""
    odd = HoleState.parse("x xxo ooox")
    events: list[Played] = [Fingered(1.0, odd), Fingered(1.01, chart(Note.B)), Sounded(2.0, None), Sounded(2.5, Note.B)]
    spans = played_spans([*events, Sounded(2.5, Note.C), Sounded(3.0, None)])
    assert [(span.start_s, span.end_s, span.state) for span in spans] == [
        (1.0, 1.01, odd),
        (1.01, 2.0, chart(Note.B)),
        (2.5, 3.0, chart(Note.C)),
    ]


def test_nothing_is_asked_in_a_rest() -> None:
    """What is asked ends where the rest begins; only the fingers' last movement towards the next note lies within."""
    schedule = asked_of("A2B2z2d2|").schedule
    spans = asked_spans(schedule)
    rest = next(event for event in schedule.events if event.kind is EventKind.REST)
    middle_s = (rest.start_s + rest.end_s) / 2.0
    assert not any(span.start_s <= middle_s < span.end_s for span in spans)
    assert [span.end_s for span in spans if span.start_s < rest.start_s] == [1.0, 2.0]
    assert spans[-1].state == chart(Note.D)
