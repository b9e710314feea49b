"""What is played during a count-in is not judged, and nothing of the tune is lost by that.

The limits are common practice, no source.
"""

from __future__ import annotations

from companion.listen.model.counted_in import EARLIEST_S, HELD_ON_S, after_count, after_held
from companion.listen.model.played import Fingered, Played, Sounded
from fingering.chart import chart
from fingering.notes import Note

STARTS_S = 4.0


def _heard(*events: Played) -> list[Played]:
    return list(after_count(events, STARTS_S))


def test_what_is_over_before_the_tune_is_not_heard() -> None:
    """Notes that are tried, gracenotes, silence."""
    tune = [Sounded(4.01, Note.E), Sounded(5.0, Note.LOW_A)]
    tried = [Sounded(1.0, Note.C), Sounded(1.1, Note.D), Sounded(2.0, None), Sounded(3.0, Note.B), Sounded(3.5, None)]
    assert _heard(*tried, *tune) == tune


def test_a_first_note_that_is_early_is_heard_when_it_was_played() -> None:
    """Up to EARLIEST_S before the tune starts."""
    early = Sounded(STARTS_S - 0.9 * EARLIEST_S, Note.E)
    assert _heard(early, Sounded(5.0, Note.D)) == [early, Sounded(5.0, Note.D)]


def test_a_note_that_is_tried_until_the_tune_starts_is_not_heard() -> None:
    """The player who sounds without a stop goes from it to the first note, a little late."""
    first = Sounded(STARTS_S + 0.9 * HELD_ON_S, Note.E)
    assert _heard(Sounded(2.0, Note.LOW_A), first) == [first]


def test_a_first_note_that_sounds_since_the_count_begins_with_the_tune() -> None:
    """Struck in early and held, it is no missing note; told by notes or by fingers."""
    after = Sounded(5.0, Note.D)
    assert _heard(Sounded(2.0, Note.E), after) == [Sounded(STARTS_S, Note.E), after]
    fingers = chart(Note.E)
    assert _heard(Fingered(2.0, fingers), after) == [Fingered(STARTS_S, fingers), after]


def test_silence_that_lasts_into_the_tune_is_nothing_played() -> None:
    """A learner who comes in late is late."""
    late = Sounded(4.7, Note.E)
    assert _heard(Sounded(2.0, Note.LOW_A), Sounded(3.0, None), late) == [late]


def test_a_note_that_sounded_already_is_the_first_one_if_it_goes_on() -> None:
    """As where a learner holds it before a round begins."""
    took = [Sounded(4.0, Note.LOW_A), Sounded(5.0, Note.B)]
    assert list(after_held(took, 4.0)) == took


def test_the_last_note_of_the_round_before_is_none_of_this_one() -> None:
    """It still sounds for a moment, since nobody is quite in time."""
    took = [Sounded(4.0, Note.LOW_G), Sounded(4.1, Note.LOW_A), Sounded(5.0, Note.B)]
    assert list(after_held(took, 4.0)) == took[1:]
