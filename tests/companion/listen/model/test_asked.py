"""What a tune asks the ear to hear."""

from __future__ import annotations

import pytest

from fingering.chart import chart
from fingering.notes import Note
from tests.companion.listen.playing import asked_of


def test_equal_notes_in_a_row_are_one_sounding_note() -> None:
    """A chanter cannot strike a note twice; from the first one's beginning to the last one's end."""
    asked = asked_of("A2A2B2B2|B2c2d4|")
    assert [token.note for token in asked.tokens] == [Note.LOW_A, Note.B, Note.C, Note.D]
    assert [(token.start_s, token.end_s) for token in asked.tokens] == [(0.0, 2.0), (2.0, 5.0), (5.0, 6.0), (6.0, 8.0)]
    assert asked.note_tokens == (0, 0, 1, 1, 1, 2, 3)
    assert [asked.melody_of(token) for token in range(4)] == [1, 4, 5, 6]
    assert len(asked.events(1)) == 3


def test_a_gracenote_parts_equal_notes_and_may_be_one_with_a_neighbour() -> None:
    """A gracenote of the note before it is not heard."""
    asked = asked_of("A2{g}A2{A}B2{c}c2|")
    assert [token.note for token in asked.tokens] == [Note.LOW_A, Note.HIGH_G, Note.LOW_A, Note.B, Note.C]
    assert [token.is_melody for token in asked.tokens] == [True, False, True, True, True]
    assert asked.note_tokens == (0, 2, 3, 4)
    assert [asked.melody_of(token) for token in range(5)] == [0, 1, 1, 2, 3]
    assert asked.tokens[3].closes == chart(Note.B)


def test_a_rest_parts_equal_notes_and_is_no_note() -> None:
    """What follows it is marked, and only that."""
    asked = asked_of("A2z2A2B2|z2c2d4|")
    assert [token.note for token in asked.tokens] == [Note.LOW_A, Note.LOW_A, Note.B, Note.C, Note.D]
    assert [token.after_rest for token in asked.tokens] == [False, True, False, True, False]
    assert asked.note_tokens == (0, None, 1, 2, None, 3, 4)
    assert asked.bar_starts == (0, 3)


@pytest.mark.parametrize(
    ("music", "bar_starts", "far_starts"),
    [
        ("A2B2c2d2|e2f2e2d2|c2d2e2f2|", (0, 4, 8), (0,)),
        ("|:A2B2c2d2|e2f2e2d2:|c2d2e2f2|", (0, 4, 8, 12, 16), (0, 8)),
        ("A2B2c2d2|e2f2e2!longphrase!d2|c2d2e2f2|", (0, 4, 8), (0, 8)),
        ("A2{gcd}c2c2d2|{g}e2f2e2d2|", (0, 6), (0,)),
        ("A2B2c2d2|d2f2e2d2|", (0, 3), (0,)),
    ],
)
def test_where_bars_and_parts_begin(music: str, bar_starts: tuple[int, ...], far_starts: tuple[int, ...]) -> None:
    """Gracenotes included; a repeat and what follows a phrase's end are far; a note held over the line begins both."""
    asked = asked_of(music)
    assert (asked.bar_starts, asked.far_starts) == (bar_starts, far_starts)


def test_a_tune_of_rests_asks_for_nothing() -> None:
    """Neither does it begin anywhere."""
    asked = asked_of("z8|")
    assert (asked.tokens, asked.bar_starts, asked.far_starts, asked.note_tokens) == ((), (), (), (None,))


def test_whether_there_are_gracenotes() -> None:
    """Any at all."""
    assert asked_of("A2{g}B2|").has_gracenotes
    assert not asked_of("A2B2|").has_gracenotes
