"""Wrong notes that sound in one with what is beside them."""

from __future__ import annotations

import pytest

from companion.listen.find.listener import Listener
from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.played import Sounded
from companion.listen.model.strictness import Strictness
from companion.listen.take.twice import hear_twice
from fingering.notes import Note
from tests.companion.listen.playing import FOUR_BARS, asked_of, index_of, played_as

pytestmark = pytest.mark.same_everywhere

TAORLUATH = asked_of(FOUR_BARS + "A2{g}B2{GdGe}e2{g}d2|{g}c2{g}d2{g}e4|" + FOUR_BARS)


def told(asked_events: list[Sounded]) -> list[tuple[FindingKind, str, str]]:
    """Kind, what was asked and what was heard of each finding."""
    findings: tuple[Finding, ...] = hear_twice(TAORLUATH, asked_events, Strictness.USUAL).findings
    return [(each.kind, each.asked, each.heard) for each in findings]


def e_of_the_taorluath() -> int:
    """The played note E after the taorluath."""
    return next(
        rank
        for rank, each in enumerate(TAORLUATH.schedule.played)
        if [note.letter for note in each.note.gracenotes] == ["G", "d", "G", "e"]
    )


def test_a_wrong_note_after_its_own_gracenote_is_one() -> None:
    """Of the E only the E gracenote sounds, then low A is held for it: no low A too many."""
    take, rank = played_as(TAORLUATH), index_of(TAORLUATH, e_of_the_taorluath())
    take[rank] = Sounded(take[rank].at_s, Note.LOW_A)
    assert told(take) == [(FindingKind.WRONG_NOTE, "e", "A")]


def test_a_wrong_note_without_the_gracenote_that_sounds_like_the_right_one_is_one_as_well() -> None:
    """Low A is held from where the E gracenote was due: E was not meant at all, so nothing is told of its gracenote."""
    take, rank = played_as(TAORLUATH), index_of(TAORLUATH, e_of_the_taorluath())
    take[rank - 1 : rank + 1] = [Sounded(take[rank - 1].at_s, Note.LOW_A)]
    assert told(take) == [(FindingKind.WRONG_NOTE, "e", "A")]


def test_it_is_foretold_with_the_next_note() -> None:
    """While it is played, before it is settled."""
    take, rank = played_as(TAORLUATH), index_of(TAORLUATH, e_of_the_taorluath())
    take[rank] = Sounded(take[rank].at_s, Note.LOW_A)
    listener = Listener(TAORLUATH)
    for event in take[: rank + 3]:
        listener.feed(event)
    listener.advance(take[rank + 2].at_s + 0.05)
    assert [(each.kind, each.heard) for each in listener.likely] == [(FindingKind.WRONG_NOTE, "A")]


def test_a_note_begun_for_the_one_before_it_makes_no_pair_even() -> None:
    """C is held from where D was due: D is left out, and that is all, though C and B were to be 1:3."""
    asked = asked_of(FOUR_BARS + "A2{g}d2c<B{g}e2|{g}f2e2c2d2|" + FOUR_BARS)
    d = _rank_of(asked, (Note.LOW_A, Note.D, Note.C, Note.B)) + 1
    take, rank = played_as(asked), index_of(asked, d)
    take[rank : rank + 2] = [Sounded(take[rank].at_s, Note.C)]
    found = hear_twice(asked, take, Strictness.USUAL).findings
    assert [(each.kind, each.asked) for each in found] == [(FindingKind.MISSING_NOTE, "d")]


def test_a_note_for_whose_equal_no_time_was_left_leaves_it_out() -> None:
    """Of two high As the second is held as high G, its gracenote; the high A gracenote of what follows is just that."""
    asked = asked_of(FOUR_BARS + "{g}f3ea{g}a{a}g2|{g}f2e2c2d2|" + FOUR_BARS)
    a = _rank_of(asked, (Note.HIGH_A, Note.HIGH_A, Note.HIGH_G))
    take, rank = played_as(asked), index_of(asked, a + 1)
    take[rank] = Sounded(take[rank].at_s, Note.HIGH_G)
    found = hear_twice(asked, take, Strictness.USUAL).findings
    assert [(each.kind, each.asked) for each in found] == [(FindingKind.WRONG_NOTE, "a")]


def _rank_of(asked: Asked, notes: tuple[Note, ...]) -> int:
    """Where these played notes follow one another."""
    played = [each.note.note for each in asked.schedule.played]
    return next(rank for rank in range(len(played)) if tuple(played[rank : rank + len(notes)]) == notes)
