"""What a player did, reduced to sounding notes."""

from __future__ import annotations

import pytest

from companion.listen.model.played import Fingered, Played, Sounded
from companion.listen.model.segments import SETTLED_S, Segment, Segmenter
from fingering.chart import chart
from fingering.errors import UserError
from fingering.holes import HoleState
from fingering.notes import Note

END = Sounded(9.0, None)


def reduced(*events: Played) -> list[Segment]:
    """The segments of a whole take."""
    segmenter = Segmenter()
    return [segment for event in events for segment in segmenter.feed(event)] + segmenter.finish()


def test_notes_follow_one_another_without_a_gap() -> None:
    """A note ends where the next begins, the last one with the take."""
    one, two = reduced(Sounded(1.0, Note.B), Sounded(1.5, Note.C), Sounded(2.5, None))
    assert (one.note, one.onset_s, one.end_s) == (Note.B, 1.0, 1.5)
    assert (two.note, two.onset_s, two.end_s) == (Note.C, 1.5, 2.5)


def test_equal_notes_in_a_row_are_one() -> None:
    """A chanter cannot strike a note twice."""
    (one,) = reduced(Sounded(0.0, Note.E), Sounded(0.5, Note.E), Sounded(1.0, None))
    assert one.end_s == 1.0


def test_a_detached_touch_is_no_silence() -> None:
    """Up to 80 ms between two notes belong to the first."""
    one, two = reduced(Sounded(0.0, Note.E), Sounded(0.45, None), Sounded(0.5, Note.F), Sounded(1.0, None))
    assert one.end_s == 0.5
    assert two.silence_s == 0.0


def test_a_stop_is_told_with_the_note_after_it() -> None:
    """A longer silence ends the note before it and is counted."""
    one, two = reduced(Sounded(0.0, Note.E), Sounded(0.5, None), Sounded(1.25, Note.E), Sounded(2.0, None))
    assert one.end_s == 0.5
    assert two.silence_s == pytest.approx(0.75)


def test_what_lasts_under_three_ms_is_not_heard() -> None:
    """Gap and doubling thresholds are 2 to 3 ms (Gelfand; Watson 2004)."""
    heard = reduced(Sounded(0.0, Note.D), Sounded(0.5, Note.LOW_A), Sounded(0.502, Note.E), Sounded(1.0, None))
    assert [segment.note for segment in heard] == [Note.D, Note.E]


def test_a_note_is_handed_on_once_it_has_settled() -> None:
    """A long note need not end before it is read."""
    segmenter = Segmenter()
    assert segmenter.feed(Sounded(0.0, Note.B)) == []
    assert segmenter.advance(SETTLED_S - 0.001) == []
    assert [segment.note for segment in segmenter.advance(SETTLED_S)] == [Note.B]
    assert segmenter.advance(9.0) == []


def test_a_note_has_settled_after_150_ms() -> None:
    """Well past every gracenote (a choice, no source); until it is over it counts as just so long."""
    segmenter = Segmenter()
    segmenter.feed(Sounded(1.0, Note.B))
    assert segmenter.advance(1.149) == []
    (settled,) = segmenter.advance(1.151)
    assert settled.lasted_s() == 0.15
    segmenter.feed(Sounded(1.5, Note.C))
    assert settled.lasted_s() == 0.5


def test_before_the_first_note_there_is_no_silence_to_be_told() -> None:
    """However long the take waits for it."""
    (first,) = reduced(Sounded(0.0, None), Sounded(5.0, Note.B), Sounded(6.0, None))
    assert first.silence_s == 0.0


def test_what_is_not_heard_lengthens_the_note_before_it() -> None:
    """Not where a silence lies between, which goes on instead."""
    blip = Sounded(0.502, Note.E)
    one, _ = reduced(Sounded(0.0, Note.D), Sounded(0.5, Note.LOW_A), blip, Sounded(1.0, None))
    assert one.end_s == 0.502
    one, two = reduced(Sounded(0.0, Note.D), Sounded(0.2, None), Sounded(0.5, Note.LOW_A), blip, Sounded(1.0, None))
    assert (one.end_s, two.onset_s) == (0.2, 0.502)
    (only,) = reduced(Sounded(0.0, Note.D), Sounded(0.002, Note.E), Sounded(1.0, None))
    assert (only.note, only.onset_s) == (Note.E, 0.002)


def test_hole_states_sound_their_note_and_are_kept() -> None:
    """States of one note make one segment that knows them all."""
    false_e = HoleState.parse("x xxo xxxx")
    one, two = reduced(Fingered(0.0, chart(Note.E)), Fingered(0.2, false_e), Fingered(0.5, chart(Note.F)), END)
    assert [change.state for change in one.holes] == [chart(Note.E), false_e]
    assert (one.note, two.note) == (Note.E, Note.F)


def test_time_never_goes_back() -> None:
    """A take whose times go backwards is refused, plainly."""
    segmenter = Segmenter()
    segmenter.feed(Sounded(1.0, Note.B))
    with pytest.raises(UserError, match="goes back in time"):
        segmenter.feed(Sounded(0.5, Note.C))
