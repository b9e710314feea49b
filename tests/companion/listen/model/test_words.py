"""How places, counts and names are said."""

from __future__ import annotations

from fractions import Fraction

import pytest

from companion.listen.model.words import (
    a_gracenote,
    bar_phrase,
    bar_words,
    bars_words,
    beat_words,
    letters,
    melody_label,
    named,
    place_of,
    place_to_play,
    previous_note,
    seconds_words,
    span_words,
    times_words,
)
from fingering.notes import Note
from tests.companion.listen.playing import asked_of


@pytest.mark.parametrize(
    ("bars", "words"),
    [
        ([0], "the pick-up"),
        ([3, 3], "bar 3"),
        ([2, 1], "bars 1 and 2"),
        ([0, 1], "the pick-up and bar 1"),
        ([0, 4, 2, 5, 6, 9], "the pick-up and bars 2, 4 to 6 and 9"),
        (list(range(18)), "the pick-up and bars 1 to 17"),
        ([1, 3, 5, 7, 9, 11], "6 bars, beginning with bar 1"),
    ],
)
def test_bars_are_listed_once_and_in_stretches(bars: list[int], words: str) -> None:
    """Many are only counted."""
    assert bars_words(bars) == words


def test_a_bar_that_comes_back_says_which_time() -> None:
    """As a beginning, and within a sentence."""
    asked = asked_of("|:c8|d8:|e8|")
    assert [bar_words(asked, played) for played in range(5)] == [
        "Bar 1",
        "Bar 2",
        "Bar 1, second time",
        "Bar 2, second time",
        "Bar 3",
    ]
    assert bar_phrase(asked, 2) == "bar 1 the second time"


def test_lengths() -> None:
    """From a second on in seconds."""
    assert [span_words(each) for each in ([83.2, 108.7], [783.0, 1141.0], [90.0, 90.2])] == [
        "83 to 109 ms",
        "0.8 to 1.1 s",
        "90 ms",
    ]


@pytest.mark.parametrize(("ms", "words"), [(40.4, "40 ms"), (999.4, "999 ms"), (1000.0, "1.0 s"), (1140.0, "1.1 s")])
def test_a_length_is_in_seconds_from_one_on(ms: float, words: str) -> None:
    """With one decimal."""
    assert seconds_words(ms) == words
    assert span_words([ms, 5000.0]) == f"{ms / 1000.0:.1f} to 5.0 s"


@pytest.mark.parametrize(
    ("beat", "words"),
    [
        (Fraction(1, 2), "minims"),
        (Fraction(3, 4), "dotted minims"),
        (Fraction(1, 4), "crotchets"),
        (Fraction(3, 8), "dotted crotchets"),
        (Fraction(1, 8), "quavers"),
        (Fraction(3, 16), "dotted quavers"),
        (Fraction(1, 3), "beats"),
    ],
)
def test_what_is_counted_has_its_name(beat: Fraction, words: str) -> None:
    """British names of note values; a beat without one is a beat."""
    assert beat_words(beat) == words


def test_notes_are_listed() -> None:
    """By name for a sentence, by letter in a row."""
    notes = (Note.LOW_A, Note.B, Note.HIGH_G)
    assert [named(notes[:count]) for count in (1, 2, 3)] == ["low A", "low A and B", "low A, B and high G"]
    assert named([Note.LOW_G, Note.D, Note.LOW_G]) == "two low Gs and D"
    assert letters(notes) == "ABg"


def test_the_note_before() -> None:
    """Before the first, and after a rest, there is none; a rest is called a rest."""
    asked = asked_of("A2z2B4|")
    assert [previous_note(asked, played) for played in range(3)] == [None, Note.LOW_A, None]
    assert [melody_label(asked, played) for played in range(3)] == ["low A", "rest", "B"]


def test_counts_are_words_up_to_twelve() -> None:
    """As they are read aloud."""
    assert [times_words(each) for each in (1, 2, 5, 12, 13)] == [
        "once",
        "twice",
        "five times",
        "twelve times",
        "13 times",
    ]


def test_a_gracenote_has_its_article() -> None:
    """By the sound of its letter."""
    assert [a_gracenote(note) for note in (Note.F, Note.E, Note.D, Note.HIGH_A)] == [
        "an F gracenote",
        "an E gracenote",
        "a D gracenote",
        "a high A gracenote",
    ]


def test_a_strike_that_a_gracenote_leads_is_short_in_a_sentence_and_whole_in_a_drill() -> None:
    """A note with one gracenote is named in the same two ways."""
    asked = asked_of("d2{gcG}c2{g}B2{gAd}A2|")
    assert [place_of(asked, played) for played in (1, 2, 3)] == [
        "the strike on C",
        "the G gracenote on B",
        "the low A doubling",
    ]
    assert [place_to_play(asked, played) for played in (1, 2, 3)] == [
        "the strike on C with its G gracenote",
        "B with its G gracenote",
        "the low A doubling",
    ]
