"""A finished take is told twice, the second time by one who knows its player."""

from __future__ import annotations

from random import Random

import pytest

from companion.listen.model.asked import Asked, ask
from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Sounded
from companion.listen.model.strictness import Strictness
from companion.listen.model.terms import TakeTerms
from companion.listen.take.twice import hear_twice
from tests.companion.listen.playing import asked_of, heard, index_of, kinds, played_as

EVEN = asked_of("A2{g}B2c2{d}A2|e2{g}f2e2d2|c2{g}B2A2B2|{g}c2d2e2c2|" * 4)
POINTED = asked_of("A>{g}B c>d e>f {g}e>d|c>B A>B {g}c>d e>c|" * 4)


def late(take: list[Sounded], asked: Asked, played: int, by_s: float) -> list[Sounded]:
    """One note of a take, its gracenotes with it, so much later."""
    first = index_of(asked, played, 0) if asked.played(played).note.gracenotes else index_of(asked, played)
    moved = range(first, index_of(asked, played) + 1)
    return [Sounded(each.at_s + (by_s if rank in moved else 0.0), each.note) for rank, each in enumerate(take)]


def in_the_end(asked: Asked, take: list[Sounded]) -> list[tuple[FindingKind, int]]:
    """What is found in a take that is over."""
    return [(each.kind, each.played) for each in hear_twice(asked, take, Strictness.USUAL).findings]


def test_the_beginning_is_judged_as_the_end_is() -> None:
    """70 ms late at the fourth note: told only once the player is known."""
    take = late(played_as(EVEN), EVEN, 3, 0.07)
    assert FindingKind.LATE not in kinds(heard(EVEN, take))
    assert in_the_end(EVEN, take) == [(FindingKind.LATE, 3)]


@pytest.mark.parametrize("played", [5, 20, 21, 40, 61])
def test_elsewhere_both_hearings_say_the_same(played: int) -> None:
    """150 ms late, with gracenotes and without."""
    take = late(played_as(EVEN), EVEN, played, 0.15)
    assert [(each.kind, each.played) for each in heard(EVEN, take)] == in_the_end(EVEN, take)


@pytest.mark.parametrize("times", [0.4, 0.82, 1.18, 2.0])
def test_another_tempo_from_one_bar_on_puts_no_note_off_its_time(times: float) -> None:
    """From the middle of the take on a fifth faster or slower, or twice as slow: the verdict tells it (common
    practice)."""
    take = played_as(EVEN)
    rank = index_of(EVEN, 32)
    turn_s = take[rank].at_s
    changed = [*take[:rank], *(Sounded(turn_s + times * (each.at_s - turn_s), each.note) for each in take[rank:])]
    assert in_the_end(EVEN, changed) == []


def test_the_second_note_of_a_pair_far_out_of_its_place_is_early() -> None:
    """Before the middle of its beat: the pair was not even, its second note was early."""
    take = late(played_as(POINTED), POINTED, 21, -0.45)
    assert in_the_end(POINTED, take) == [(FindingKind.EARLY, 21)]


def test_a_pair_that_was_played_even_is_told_as_that() -> None:
    """A quarter of a second too soon the two are alike, and nothing is said of the second note by itself."""
    take = late(played_as(POINTED), POINTED, 21, -0.25)
    assert in_the_end(POINTED, take) == [(FindingKind.POINTING, 20)]


@pytest.mark.parametrize("draw", range(4))
def test_an_unsteady_player_is_not_blamed_note_by_note(draw: int) -> None:
    """Onsets that stray by 25 ms (35 ms from one to the next) in crotchets of a second: no finding in 64 notes."""
    random = Random(draw)
    take, strays_s = played_as(EVEN), [random.gauss(0.0, 0.025) for _ in EVEN.schedule.played]
    events = EVEN.schedule.events
    moved = [Sounded(each.at_s + strays_s[event.played], each.note) for each, event in zip(take, events, strict=False)]
    assert in_the_end(EVEN, [*moved, take[-1]]) == []


@pytest.mark.parametrize("beats", [1, 2, 5])
def test_to_a_metronome_the_second_hearing_begins_on_the_beat_of_the_first_note(beats: int) -> None:
    """A stop of whole beats in the middle of the take moves what comes after it, and nothing before it."""
    asked = ask(EVEN.schedule, TakeTerms(metronome_bpm=60.0))
    take, rank = played_as(asked), index_of(asked, 32)
    after = [Sounded(each.at_s + beats, each.note) for each in take[rank:]]
    assert in_the_end(asked, [*take[:rank], Sounded(take[rank].at_s, None), *after]) == [(FindingKind.BREAK, 32)]
