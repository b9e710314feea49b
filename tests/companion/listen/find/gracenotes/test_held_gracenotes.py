"""A gracenote whose finger stays where it is: the gracenote's note is heard where the melody note should be."""

from __future__ import annotations

import pytest

from companion.listen.model.findings import FindingKind as Kind
from companion.listen.model.played import Sounded
from fingering.notes import Note
from tests.companion.listen.playing import asked_of, heard, index_of, played_as

TUNE = asked_of("A2B2c2d2|e2f2{ag}a2d2|c2{g}B2d2{gef}e2|c2d2e2{d}A2|")


def held(played: int) -> list[Sounded]:
    """The last gracenote of one note held for the time of that note."""
    melody = index_of(TUNE, played)
    take = played_as(TUNE)
    return [*take[:melody], *take[melody + 1 :]]


@pytest.mark.parametrize(("played", "asked", "sounded"), [(6, "a", "g"), (9, "B", "g"), (11, "e", "f"), (15, "A", "d")])
def test_a_gracenote_held_for_the_time_of_its_note_is_a_wrong_note(played: int, asked: str, sounded: str) -> None:
    """And that is all that is said: no gracenote missing or long, nothing left out. The last note of a take as well."""
    found = heard(TUNE, held(played))
    assert [(each.kind, each.played, each.asked, each.heard) for each in found] == [
        (Kind.WRONG_NOTE, played, asked, sounded)
    ]


@pytest.mark.parametrize("ms", [160.0, 300.0, 500.0])
def test_a_gracenote_that_was_held_and_then_left_is_a_long_gracenote(ms: float) -> None:
    """The melody note follows it, however short it has become."""
    melody = index_of(TUNE, 9)
    take = played_as(TUNE)
    take[melody] = Sounded(take[melody - 1].at_s + ms / 1000.0, take[melody].note)
    assert Kind.LONG_GRACENOTE in [each.kind for each in heard(TUNE, take)]
    assert Kind.WRONG_NOTE not in [each.kind for each in heard(TUNE, take)]


def test_a_take_that_ends_one_note_too_soon_left_that_note_out() -> None:
    """One that ends two notes too soon was broken off, and nothing is said of what was not reached."""
    take = played_as(TUNE)
    last, before = index_of(TUNE, 15, 0), index_of(TUNE, 14)
    found = heard(TUNE, [*take[:last], Sounded(take[last].at_s, None)])
    assert [(each.kind, each.played) for each in found] == [(Kind.MISSING_NOTE, 15)]
    assert found[0].at_s == take[last].at_s
    assert heard(TUNE, [*take[:before], Sounded(take[before].at_s, None)]) == []


def test_a_note_that_begins_as_the_take_ends_was_played() -> None:
    """A recording that was cut at its onset: nothing tells how long it was to be."""
    assert heard(TUNE, played_as(TUNE)[:-1]) == []
    assert Note.LOW_A is played_as(TUNE)[-2].note


def test_a_gracenote_held_before_the_same_note_with_a_doubling_is_a_wrong_note() -> None:
    """The doubling's G gracenote, 40 ms, is not the high G that was not reached."""
    asked = asked_of("A2f2a2g2|{f}g4{gfg}f4|a2g2a2f2|e2d2e2f2|")
    rank, take = index_of(asked, 4), played_as(asked)
    found = heard(asked, [*take[:rank], *take[rank + 1 :]])
    assert [(each.kind, each.played) for each in found] == [(Kind.WRONG_NOTE, 4)]
