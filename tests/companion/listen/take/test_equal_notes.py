"""Which of several notes that sound alike was begun again is told by their times, and so is whether one was."""

from __future__ import annotations

import pytest

from companion.listen.align.reading.steps import Reading
from companion.listen.model.asked import Asked
from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Sounded
from companion.listen.model.strictness import Strictness
from companion.listen.take.equal_notes import with_notes_again
from companion.listen.take.twice import hear_twice, read_take
from fingering.notes import Note
from tests.companion.listen.playing import asked_of, index_of, played_as, with_note

LIKE = asked_of("A2B2{d}c2e2|{g}f3{g}f{g}f2e2|{d}c2{g}B2A2d2|e2{g}c2{gcd}c2B2|{g}d2{gf}g2e2A2|B2c2d2e2|")
"""Notes 4, 5 and 6 are equal, the first thrice as long as the second; 13 sounds as the next one begins, and so does
16 in part."""

UNLIKE = asked_of("A2{g}B2{gde}d2{g}d2|{GdGe}e2{g}e2{gAd}A2{g}B2|{GdG}B2{g}B2c2d2|e2f2e2d2|")
"""Embellishments of several gracenotes, each on a note that is followed by an equal one."""


def begun_again(asked: Asked, played: int, after_s: float) -> list[Sounded]:
    """A take in which one note is played, gracenotes and all, for so long, and then once more in full."""
    take = played_as(asked)
    onset = index_of(asked, played)
    first = onset - len(asked.played(played).note.gracenotes)
    later_s = take[onset].at_s - take[first].at_s + after_s
    return [*take[: onset + 1], *(Sounded(each.at_s + later_s, each.note) for each in take[first:])]


def in_the_end(asked: Asked, take: list[Sounded]) -> list[tuple[FindingKind, int]]:
    """What is found in a take that is over, and at which played notes."""
    return [(each.kind, each.played) for each in hear_twice(asked, take, Strictness.USUAL).findings]


@pytest.mark.parametrize("played", [4, 5, 6, 13, 16])
def test_a_note_that_sounds_as_what_follows_it_is_begun_again(played: int) -> None:
    """Its times are right from the second beginning on, and those of the others as well."""
    assert in_the_end(LIKE, begun_again(LIKE, played, 0.4)) == [(FindingKind.RESTART, played)]


def test_an_attempt_may_be_of_any_length() -> None:
    """Of the first of the equal notes nearly all was played, of the same one hardly anything."""
    for after_s in (0.15, 0.9):
        assert in_the_end(LIKE, begun_again(LIKE, 4, after_s)) == [(FindingKind.RESTART, 4)]


@pytest.mark.parametrize("played", [4, 6])
def test_a_gracenote_more_that_keeps_the_time_is_no_beginning(played: int) -> None:
    """Among notes that sound alike as well: each of them begins and ends when it is due."""
    onset_s = played_as(LIKE)[index_of(LIKE, played)].at_s
    take = with_note(played_as(LIKE), onset_s + 0.5, Note.HIGH_G, 0.05)
    assert in_the_end(LIKE, take) == [(FindingKind.EXTRA_GRACENOTE, played)]


@pytest.mark.parametrize("played", [2, 4, 6, 8])
def test_a_whole_embellishment_again_is_that_note_again(played: int) -> None:
    """Also where the next note is equal to it, and one of its gracenotes to itself or to the note before."""
    assert in_the_end(UNLIKE, begun_again(UNLIKE, played, 0.4)) == [(FindingKind.RESTART, played)]


def test_nothing_is_read_otherwise_where_nothing_is_too_much() -> None:
    """The steps of a take as asked are the same afterwards; of a note begun again none is extra any more."""
    for take, extras in ((played_as(LIKE), 0), (begun_again(LIKE, 5, 0.4), 1)):
        read, second = read_take(LIKE, take), hear_twice(LIKE, take, Strictness.USUAL)
        steps = with_notes_again(LIKE, read.steps, second.moments)
        assert sum(step.reading is Reading.EXTRA for step in read.steps) == extras
        assert sum(step.reading is Reading.EXTRA for step in steps) == 0
        assert [step.segment for step in steps] == [step.segment for step in read.steps]
