"""What a learner is told of an embellishment is true of that very one."""

from __future__ import annotations

import pytest

from fingering.embellishments import Family, recognise
from fingering.notes import Note


def told(gracenotes: str, onto: str) -> str:
    """How a group of gracenotes is played."""
    group = [Note.from_letter(letter) for letter in gracenotes]
    return recognise(group, onto=Note.from_letter(onto), before=Note.B).how_it_is_played


@pytest.mark.parametrize(
    ("gracenotes", "onto", "words"),
    [
        ("g", "c", "One finger lifts"),
        ("A", "B", "One finger falls"),
        ("A", "d", "The fingers touch low A"),
        ("A", "a", "The fingers fall together"),
        ("d", "e", "The fingers touch D"),
    ],
)
def test_a_gracenote_lifts_or_falls_as_the_fingerings_have_it(gracenotes: str, onto: str, words: str) -> None:
    """Above the melody note a finger lifts; below it fingers fall, and come up again (common practice, no source)."""
    assert told(gracenotes, onto).startswith(words)


def test_a_high_a_doubling_is_the_thumb_closing() -> None:
    """No G gracenote is to be had there (common practice, no source)."""
    assert "thumb shuts" in told("ag", "a")
    assert "G gracenote" not in told("ag", "a")


def test_a_high_g_doubling_is_the_upper_index_falling() -> None:
    """With the thumb's high A before it and without (common practice, no source)."""
    assert "upper index finger falls" in told("gf", "g")
    assert told("agf", "g").startswith("The thumb makes a high A")


def test_families_have_a_plural() -> None:
    """As they are counted."""
    assert [each.plural for each in (Family.DOUBLING, Family.CATCH)] == ["doublings", "catches"]
