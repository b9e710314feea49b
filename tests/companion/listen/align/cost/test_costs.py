"""Of two readings of a take, which one the ear takes: each cost is held by a take that is read otherwise without it.

Which of two is the likelier is a choice (see companion.listen.align.cost.costs), no source. Takes are made from what is
asked by a few slips, one after another; events are counted from 0, gracenotes included, as the slips before left them.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from companion.listen.model.findings import FindingKind as Kind
from companion.listen.model.played import Sounded
from fingering.notes import Note
from tests.companion.listen.playing import FOUR_BARS, asked_of, delayed, heard, index_of, kinds, leapt, played_as

DOUBLINGS = "A2B2c2d2|e2f2{gef}e2d2|c2{gBd}B2A2B2|c2d2e2c2|"

PLAIN = "A2B2c2d2|e2f2e2d2|c2B2A2B2|e2A2c4|"
SLOW = "A2{g}B2{gcd}c2{g}d2|e2f2{gef}e2{g}d2|c2{gBd}B2A2{gde}d2|{g}e2{gAd}A2{g}c4|"
QUICK = "A{g}B{d}c{g}d e{g}fe{g}d|{gcd}c2{g}B{d}A {gAd}A2{g}Bc|{gde}d2{g}e{g}f {gef}e2{g}dc|"
REPEATED = "|:{g}A2{d}B2c2{g}d2|{g}e2f2{gef}e2{g}d2:|"
BIRLS = "A2{GdG}A2{GdGe}A2B2|{GAGAG}A2{gAGAG}A2{g}c2d2|e2{gfg}f2{gef}e2d2|"

Take = list[Sounded]
TakeChange = Callable[[Take], Take]


def without(rank: int, count: int = 1) -> TakeChange:
    """So many events left out from that one on; what sounded before sounds on."""
    return lambda take: [*take[:rank], *take[rank + count :]]


def other(rank: int, note: Note) -> TakeChange:
    """Another note in that event's place."""
    return lambda take: [*take[:rank], Sounded(take[rank].at_s, note), *take[rank + 1 :]]


def put_in(rank: int, note: Note, lasts_s: float) -> TakeChange:
    """A note before that event, which comes later by as much, and so does all that follows."""
    return lambda take: [*take[:rank], Sounded(take[rank].at_s, note), *delayed(take, rank, lasts_s)[rank:]]


def cut_short_by(rank: int, note: Note, lasts_s: float) -> TakeChange:
    """A note before that event, in the time of the note before."""
    return lambda take: [*take[:rank], Sounded(take[rank].at_s - lasts_s, note), *take[rank:]]


def held(rank: int, by_s: float) -> TakeChange:
    """The note before that event so much longer, and all that follows later."""
    return lambda take: delayed(take, rank, by_s)


def silent(rank: int, lasts_s: float) -> TakeChange:
    """Silence before that event, and all that follows later."""
    return lambda take: [*take[:rank], Sounded(take[rank].at_s, None), *delayed(take, rank, lasts_s)[rank:]]


def on_from(rank: int, reached: int) -> TakeChange:
    """At that event the take goes on from another one."""
    return lambda take: [
        *take[:rank],
        *(Sounded(at.at_s + take[rank].at_s - take[reached].at_s, at.note) for at in take[reached:]),
    ]


def from_event(rank: int) -> TakeChange:
    """The take begins with that event."""
    return lambda take: take[rank:]


def at_tempo(times: float) -> TakeChange:
    """All of it so many times slower."""
    return lambda take: [Sounded(times * event.at_s, event.note) for event in take]


@pytest.mark.parametrize(
    ("music", "slips", "findings"),
    [
        # Going elsewhere in the tune.
        (BIRLS, [on_from(20, 12)], [(Kind.RESTART, 4, "", "")]),
        (
            QUICK,
            [without(40, 3), on_from(38, 31)],
            [(Kind.RESTART, 14, "", ""), (Kind.MISSING_GRACENOTE, 14, "d", "")],
        ),
        (QUICK, [on_from(17, 33)], [(Kind.MISSING_NOTE, 9, "BAABcd", "")]),
        (QUICK, [on_from(14, 5), silent(12, 0.3)], [(Kind.RESTART, 3, "", ""), (Kind.EXTRA_GRACENOTE, 3, "", "g")]),
        (PLAIN, [on_from(3, 1)], [(Kind.EXTRA_NOTE, 2, "", "B")]),
        (PLAIN, [without(4, 3)], [(Kind.MISSING_NOTE, 4, "efed", "")]),
        # Beginning elsewhere than at the beginning.
        (QUICK, [from_event(12)], []),
        (REPEATED, [from_event(14)], [(Kind.EXTRA_NOTE, 0, "", "d")]),
        (
            BIRLS,
            [from_event(6)],
            [(Kind.MISSING_NOTE, 0, "A", ""), (Kind.MISSING_NOTE, 1, "A", ""), (Kind.MISSING_GRACENOTE, 2, "G", "")],
        ),
        (
            REPEATED,
            [from_event(11), without(10)],
            [(Kind.EXTRA_GRACENOTE, 6, "", "f"), (Kind.MISSING_GRACENOTE, 11, "g", "")],
        ),
        (PLAIN, [from_event(6), without(7)], [(Kind.MISSING_NOTE, 5, "f", ""), (Kind.MISSING_NOTE, 13, "A", "")]),
        (QUICK, [from_event(8), on_from(10, 33)], [(Kind.EXTRA_NOTE, 9, "", "d"), (Kind.WRONG_NOTE, 9, "B", "c")]),
        # Several notes left out in a row.
        (BIRLS, [without(13, 2)], [(Kind.LONG_GRACENOTE, 4, "A", "A"), (Kind.MISSING_GRACENOTE, 4, "GA", "")]),
        (
            SLOW,
            [without(20, 4)],
            [
                (Kind.MISSING_GRACENOTE, 9, "Bd", ""),
                (Kind.MISSING_NOTE, 10, "A", ""),
                (Kind.MISSING_GRACENOTE, 11, "g", ""),
            ],
        ),
        (QUICK, [on_from(30, 34)], [(Kind.MISSING_NOTE, 14, "d", ""), (Kind.MISSING_NOTE, 15, "e", "")]),
        (
            REPEATED,
            [without(6, 3), cut_short_by(5, Note.B, 0.16)],
            [
                (Kind.MISSING_GRACENOTE, 3, "g", ""),
                (Kind.WRONG_NOTE, 3, "d", "B"),
                (Kind.EARLY, 4, "e", "e"),
                (Kind.WRONG_NOTE, 4, "e", "g"),
            ],
        ),
        (
            REPEATED,
            [other(13, Note.E), without(11), without(12)],
            [(Kind.MISSING_GRACENOTE, 6, "e", ""), (Kind.WRONG_NOTE, 6, "e", "f")],
        ),
        # Notes put in, long and short.
        (
            QUICK,
            [put_in(26, Note.LOW_A, 0.16)],
            [(Kind.EXTRA_GRACENOTE, 11, "", "g"), (Kind.MISSING_GRACENOTE, 12, "g", "")],
        ),
        (
            REPEATED,
            [put_in(26, Note.E, 0.11), on_from(28, 21)],
            [
                (Kind.MISSING_GRACENOTE, 14, "gef", ""),
                (Kind.EARLY, 15, "d", "d"),
                (Kind.RESTART, 12, "", ""),
                (Kind.CROSSING, 14, "g", "e"),
            ],
        ),
        (
            QUICK,
            [put_in(38, Note.C, 0.16), put_in(39, Note.HIGH_G, 0.06)],
            [(Kind.EXTRA_NOTE, 17, "", "c"), (Kind.EXTRA_GRACENOTE, 17, "", "g"), (Kind.LATE, 18, "d", "d")],
        ),
        (
            BIRLS,
            [other(21, Note.E), without(19, 3), other(18, Note.E)],
            [
                (Kind.EXTRA_GRACENOTE, 5, "", "g"),
                (Kind.EXTRA_NOTE, 5, "", "e"),
                (Kind.MISSING_GRACENOTE, 5, "gAGAG", ""),
            ],
        ),
        (
            PLAIN,
            [silent(8, 0.6), other(11, Note.C), cut_short_by(8, Note.F, 0.3)],
            [(Kind.EXTRA_NOTE, 8, "", "f"), (Kind.BREAK, 8, "", ""), (Kind.WRONG_NOTE, 10, "A", "c")],
        ),
        # Gracenotes wrong, long, or late.
        (
            QUICK,
            [other(17, Note.HIGH_A), held(18, 0.1)],
            [(Kind.LONG_GRACENOTE, 9, "g", "a"), (Kind.WRONG_GRACENOTE, 9, "g", "a")],
        ),
        (
            BIRLS,
            [held(34, 0.5), other(31, Note.LOW_G), without(31)],
            [(Kind.LONG_GRACENOTE, 10, "f", "f"), (Kind.MISSING_GRACENOTE, 10, "g", ""), (Kind.LATE, 11, "d", "d")],
        ),
        (BIRLS, [silent(14, 0.1)], []),
        (
            QUICK,
            [on_from(32, 37), at_tempo(0.25)],
            [
                (Kind.MISSING_GRACENOTE, 15, "g", ""),
                (Kind.MISSING_GRACENOTE, 16, "g", ""),
                (Kind.MISSING_GRACENOTE, 17, "gef", ""),
            ],
        ),
    ],
)
def test_the_likelier_of_two_readings_is_told(
    music: str, slips: list[TakeChange], findings: list[tuple[Kind, int, str, str]]
) -> None:
    """Each row was found by trying takes at random with one cost halved or doubled: then it is read otherwise."""
    asked = asked_of(music)
    take = played_as(asked)
    for slip in slips:
        take = slip(take)
    assert [(each.kind, each.played, each.asked, each.heard) for each in heard(asked, take)] == findings


def test_a_long_foreign_note_among_gracenotes_is_an_extra_note() -> None:
    """D for 200 ms where an E doubling has E and F: a note of the learner's own, and the two left out; no wrong one."""
    asked = asked_of(DOUBLINGS)
    rank, take = index_of(asked, 6, 1), played_as(asked)
    late = [Sounded(event.at_s + 0.12, event.note) for event in take[rank + 2 :]]
    found = heard(asked, [*take[:rank], Sounded(take[rank].at_s, Note.D), *late])
    assert kinds(found) == [Kind.EXTRA_NOTE, Kind.MISSING_GRACENOTE]
    assert found[1].asked == "ef"


def test_who_goes_back_on_the_page_begins_again() -> None:
    """From the end of a part to its second bar: back to it, not on into the repeat, though that were nearer."""
    asked = asked_of(f"|:{FOUR_BARS[:-1]}:|")
    second, repeat = asked.bar_starts[1], asked.bar_starts[4]
    take = leapt(asked, repeat, second)[: 2 * asked.tokens[repeat].first - asked.tokens[second].first]
    (found,) = heard(asked, [*take, Sounded(take[-1].at_s + 0.04, None)])
    assert (found.kind, found.text) == (Kind.RESTART, "Bar 4: you began again from bar 2.")
