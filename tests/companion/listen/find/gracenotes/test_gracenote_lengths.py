"""How long a player's gracenotes are, and what is long for such a player."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import cycle

import pytest

from companion.listen.find.gracenotes.gracenote_lengths import USUAL_S, GracenoteLengths, GracenotesKnown
from companion.listen.judgement import Judgement, judge
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.misheard import Misheard
from companion.listen.model.played import Sounded
from companion.listen.model.strictness import Strictness
from companion.schedule.events import EventKind
from tests.companion.listen.playing import asked_of, tune_of

MUSIC = "{g}A2{d}B2{g}c2{d}A2|{g}e2f2{gef}e2{g}d2|{g}c2{d}B2{gcd}c2{g}B2|{g}c2{d}A2{g}e2{d}c2|" * 2
LIMITS = Strictness.USUAL.limits


def with_gracenotes(ms: float, *, one_ms: float | None = None) -> Judgement:
    """A take whose gracenotes last so long, all but one, before their beats; that one is the seventh."""
    asked = asked_of(MUSIC)
    graces = [rank for rank, each in enumerate(asked.schedule.events) if each.kind is EventKind.GRACENOTE]
    length_s = dict.fromkeys(graces, ms / 1000.0)
    if one_ms is not None:
        length_s[graces[6]] = one_ms / 1000.0
    take, at_s = [], 1.0
    for rank, each in enumerate(asked.schedule.events):
        take.append(Sounded(at_s, each.note))
        at_s += length_s.get(rank, each.end_s - each.start_s)
    return judge(tune_of(MUSIC), [*take, Sounded(at_s, None)])


def test_until_some_were_heard_a_player_plays_as_good_ones_do() -> None:
    """45 ms (common practice, no source); what is long is the teacher's limit."""
    assert GracenoteLengths().usual_s == USUAL_S
    assert GracenoteLengths().middle_s is None
    assert GracenoteLengths().limits(LIMITS) == LIMITS


@pytest.mark.parametrize(("usual_ms", "limit_ms"), [(60.0, 85.0), (67.0, 85.0), (69.0, 103.5), (110.0, 165.0)])
def test_for_slow_fingers_long_is_half_as_much_again_as_usual(usual_ms: float, limit_ms: float) -> None:
    """From four fifths of the usual teacher's 85 ms on (a choice, no source)."""
    assert GracenoteLengths(GracenotesKnown(usual_ms / 1000.0, 0.1)).limits(LIMITS).gracenote_ms == pytest.approx(
        limit_ms
    )


def test_slow_gracenotes_throughout_are_one_finding_and_one_matter() -> None:
    """With their figure, and the first thing to mend."""
    judgement = with_gracenotes(110.0)
    assert [(each.kind, each.throughout) for each in judgement.findings] == [(FindingKind.LONG_GRACENOTE, True)]
    text = "All through the tune the gracenotes were slow: some 110 ms each, where up to 85 pass."
    assert [matter.text for matter in judgement.verdict.first] == [text]


def test_gracenotes_now_and_then_over_the_limit_are_slow_fingers_and_no_slips() -> None:
    """80 ms: below the limit, so nothing is said, and one of 100 ms among them is no slip either; one of 180 is."""
    assert with_gracenotes(80.0).findings == ()
    assert with_gracenotes(80.0, one_ms=100.0).findings == ()
    assert [each.kind for each in with_gracenotes(80.0, one_ms=180.0).findings] == [FindingKind.LONG_GRACENOTE]
    assert [each.kind for each in with_gracenotes(45.0, one_ms=100.0).findings] == [FindingKind.LONG_GRACENOTE]


def of_pairs(lengths_ms: Mapping[int, float], misheard: Misheard, usual_ms: Sequence[float] = (35.0,)) -> list[Finding]:
    """What is told of sixteen pairs of gracenotes before their beats. lengths_ms: of some by their ranks; usual_ms: of
    the others, by turns."""
    music = "{gd}A4{gd}B4{gd}c4{gd}d4|" * 4
    asked, turns = asked_of(music), cycle(usual_ms)
    graces = [rank for rank, each in enumerate(asked.schedule.events) if each.kind is EventKind.GRACENOTE]
    length_s = {rank: 0.001 * lengths_ms.get(at, next(turns)) for at, rank in enumerate(graces)}
    take, at_s = list[Sounded](), 1.0
    for rank, each in enumerate(asked.schedule.events):
        take.append(Sounded(at_s, each.note))
        at_s += length_s.get(rank, each.end_s - each.start_s)
    return list(judge(tune_of(music), [*take, Sounded(at_s, None)], misheard=misheard).findings)


@pytest.mark.parametrize(("misheard", "uneven"), [(0.0, False), (0.5, True)])
def test_how_far_lengths_are_misheard_is_not_the_players_stray(misheard: float, *, uneven: bool) -> None:
    """Gracenotes of 36 and 58 ms by turns stray too far for one of 82 beside one of 36 to be uneven, unless that much
    is misheard."""
    found = of_pairs({9: 82.0}, Misheard(misheard), (36.0, 58.0))
    assert (FindingKind.UNEVEN in {each.kind for each in found}) is uneven


@pytest.mark.parametrize(
    ("long_from_ms", "one_ms", "kinds"),
    [
        (0.0, 90.0, [FindingKind.LONG_GRACENOTE]),
        (100.0, 90.0, [FindingKind.UNEVEN]),
        (100.0, 105.0, [FindingKind.LONG_GRACENOTE]),
    ],
)
def test_what_may_only_seem_long_is_longer_than_its_fellows(
    long_from_ms: float, one_ms: float, kinds: list[FindingKind]
) -> None:
    """The first of two gracenotes of 35 ms: which is long by itself where its length is known."""
    assert [each.kind for each in of_pairs({18: one_ms}, Misheard(long_from_ms=long_from_ms))] == kinds


@pytest.mark.parametrize(("lengthened_ms", "told"), [(0.0, False), (2.0, True)])
def test_gracenotes_that_seem_longer_than_they_were_are_told_as_they_were(lengthened_ms: float, *, told: bool) -> None:
    """Of two that seem to last 66 and 30 ms, one is not so many times the other as of 64 and 28."""
    found = of_pairs({18: 66.0, 19: 30.0}, Misheard(lengthened_ms=lengthened_ms))
    assert [(each.kind, "64 and 28 ms" in each.text) for each in found] == [(FindingKind.UNEVEN, True)] * told
