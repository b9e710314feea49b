"""From where on each teacher says a word: what passes just below a limit is told just above it.

Crossings: from 3 ms on something is heard, four cycles of low A (480 Hz) give a pitch, from 20 ms on two sounds have an
order (Hirsh 1959, through Watson 2004). All other limits are choices, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from companion.listen.model.asked import Asked
from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Sounded
from companion.listen.model.strictness import Strictness
from fingering.notes import Note
from tests.companion.listen.playing import FOUR_BARS, asked_of, heard, index_of, kinds, played_as, with_note

pytestmark = pytest.mark.same_everywhere

EASY, USUAL, HARD = Strictness

PLAIN = asked_of("A2B2c2d2|e2f2e2d2|c2B2A2B2|c2d2e2c2|A2B2c2d2|e4A4|")
EVEN = asked_of("A2B2c2d2|e2f2e2d2|c2B2A2B2|c2d2e2c2|" * 6)
ORNATE = asked_of(FOUR_BARS)
POINTED = asked_of("c2d2e2f2|" * 14 + "e>de>d c2e2|c2d2e2f2|e>dc>d e4|")
CUT = asked_of("c2d2e2f2|" * 14 + "e<de<d c2e2|c2d2e2f2|e<dc<d e4|")
DOUBLING = next(rank for rank, each in enumerate(ORNATE.schedule.embellishments) if each and len(each.gracenotes) == 3)

Take = Callable[[float], tuple[Asked, list[Sounded]]]


def later(take: list[Sounded], rank: int, by_s: float) -> list[Sounded]:
    """The take with one event at another time."""
    return [*take[:rank], Sounded(take[rank].at_s + by_s, take[rank].note), *take[rank + 1 :]]


def noise(ms: float) -> tuple[Asked, list[Sounded]]:
    """Low A for so long between D and E."""
    take = played_as(PLAIN)
    return PLAIN, with_note(take, take[index_of(PLAIN, 4)].at_s - ms / 1000.0, Note.LOW_A, ms / 1000.0)


def gracenote(ms: float) -> tuple[Asked, list[Sounded]]:
    """One G gracenote of that length, all others of 40 ms."""
    return ORNATE, later(played_as(ORNATE), index_of(ORNATE, 3, 0) + 1, (ms - 40.0) / 1000.0)


def doubling(ms: float, fellows_ms: float) -> tuple[Asked, list[Sounded]]:
    """A doubling of which the second gracenote is so long and the two others are alike."""
    take, rank = played_as(ORNATE), index_of(ORNATE, DOUBLING, 1)
    at_s, long_s, other_s = take[rank].at_s, ms / 1000.0, fellows_ms / 1000.0
    onsets_s = (at_s - other_s, at_s, at_s + long_s, at_s + long_s + other_s)
    told = [Sounded(onset_s, take[rank - 1 + place].note) for place, onset_s in enumerate(onsets_s)]
    return ORNATE, [*take[: rank - 1], *told, *take[rank + 3 :]]


def late(ms: float) -> tuple[Asked, list[Sounded]]:
    """One note that late among quick ones, all of them exact: 240 crotchets a minute."""
    return EVEN, later(played_as(EVEN, 0.25), index_of(EVEN, 70), ms / 1000.0)


def early(ms: float) -> tuple[Asked, list[Sounded]]:
    """One note that early."""
    return late(-ms)


def late_among_slow_notes(ms: float) -> tuple[Asked, list[Sounded]]:
    """One note that late at 10 crotchets a minute, where a player strays by 78 ms as far as is known, and may by 89 (by
    the ear's own learning)."""
    return EVEN, later(played_as(EVEN, 6.0), index_of(EVEN, 70), ms / 1000.0)


def among_slow_notes_ms(spreads: float) -> float:
    """From how much on such a note is told: of so little stray in so long an interval more spreads are needed than of
    4 % of one (`off_time`)."""
    return 89.4 * math.sqrt(spreads**2 + 2.0 * math.log(0.04 * 6000.0 / 78.2))


def less_pointed(times: float) -> tuple[Asked, list[Sounded]]:
    """One pair, 3:1 as written, so many times less unequal."""
    ratio = 3.0 / times
    return POINTED, later(played_as(POINTED), index_of(POINTED, 57), ratio / (1.0 + ratio) - 0.75)


def less_cut(times: float) -> tuple[Asked, list[Sounded]]:
    """The same of a pair with the short note first."""
    ratio = 3.0 / times
    return CUT, later(played_as(CUT), index_of(CUT, 57), 1.0 / (1.0 + ratio) - 0.25)


def silence(ms: float) -> tuple[Asked, list[Sounded]]:
    """The sound stops for so long before the third bar."""
    take, rank = played_as(PLAIN), index_of(PLAIN, 8)
    after = [Sounded(event.at_s + ms / 1000.0, event.note) for event in take[rank:]]
    return PLAIN, [*take[:rank], Sounded(take[rank].at_s, None), *after]


@pytest.mark.parametrize(
    ("fault", "kind", "limits"),
    [
        (noise, FindingKind.CROSSING, (20.0, 8.0, 3.0)),
        (gracenote, FindingKind.LONG_GRACENOTE, (120.0, 85.0, 70.0)),
        (lambda ms: doubling(15.0 + ms, 15.0), FindingKind.UNEVEN, (36.0, 28.0, 18.0)),
        (lambda times: doubling(35.0 * times, 35.0), FindingKind.UNEVEN, (2.6, 2.0, 1.6)),
        (late, FindingKind.LATE, (100.0, 50.0, 30.0)),
        (early, FindingKind.EARLY, (100.0, 50.0, 30.0)),
        (late_among_slow_notes, FindingKind.LATE, tuple(map(among_slow_notes_ms, (4.0, 3.5, 2.8)))),
        (less_pointed, FindingKind.POINTING, (1.9, 1.45, 1.25)),
        (less_cut, FindingKind.POINTING, (1.9, 1.45, 1.25)),
        (silence, FindingKind.BREAK, (400.0, 150.0, 90.0)),
    ],
    ids=["noise", "long", "uneven-ms", "uneven-times", "late", "early", "late-slow", "pointed", "cut", "break"],
)
def test_what_passes_just_below_a_limit_is_told_just_above_it(
    fault: Take, kind: FindingKind, limits: tuple[float, float, float]
) -> None:
    """Half a hundredth to either side, for an easy, a usual and a hard teacher."""
    for strictness, limit in zip((EASY, USUAL, HARD), limits, strict=True):
        assert kind not in kinds(heard(*fault(0.995 * limit), strictness))
        assert kind in kinds(heard(*fault(1.005 * limit), strictness))


def test_who_slows_gracenotes_down_has_more_time_for_them_alone() -> None:
    """Twice as slow: twice as long may a gracenote be, and stray by; nothing else is changed."""
    usual, slowed = USUAL.limits, USUAL.limits.slowed(2.0)
    assert (slowed.gracenote_ms, slowed.uneven_ms) == (2.0 * usual.gracenote_ms, 2.0 * usual.uneven_ms)
    assert slowed.slowed(0.5) == usual
    assert (slowed.crossing_ms, slowed.off_time_ms, slowed.uneven_ratio) == (
        usual.crossing_ms,
        usual.off_time_ms,
        usual.uneven_ratio,
    )
