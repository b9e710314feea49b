"""Who leaves out gracenotes by habit: how many, and that a take is read with that in mind."""

from __future__ import annotations

import pytest

from companion.listen.align.cost.costs import leaving_out
from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Sounded
from companion.listen.model.strictness import Strictness
from companion.listen.take.left_out import share_left_out
from companion.listen.take.twice import hear_twice, read_take
from companion.schedule.events import EventKind
from tests.companion.listen.playing import asked_of

pytestmark = pytest.mark.same_everywhere

EQUAL = asked_of("{g}A2{g}B2{g}c2{g}d2|{g}G2{gGd}G2{g}G2{gGd}G2|{g}G2{d}G2{g}G2{gGd}G2|{g}e2{g}d2{g}c2{g}B2|" * 4)
"""Bars in which eight low Gs follow one another."""


def without(every: int) -> list[Sounded]:
    """What is asked, without the embellishment of every other note, or every third, and so on; all else as asked."""
    return [
        Sounded(1.0 + event.start_s, event.note)
        for event in EQUAL.schedule.events
        if event.kind is EventKind.MELODY or event.played % every
    ]


@pytest.mark.parametrize("every", [1, 2, 3, 1000])
def test_how_many_are_left_out_is_known(every: int) -> None:
    """Within an eighth, though some cannot be told where equal notes become one."""
    graces = [event for event in EQUAL.schedule.events if event.kind is EventKind.GRACENOTE]
    share = sum(event.played % every == 0 for event in graces) / len(graces)
    assert share_left_out(EQUAL, read_take(EQUAL, without(every)).steps) == pytest.approx(share, abs=0.125)


@pytest.mark.parametrize("every", [2, 3])
def test_a_run_of_equal_notes_without_its_gracenotes_keeps_its_place(every: int) -> None:
    """Nothing else is told of such a take than what was left out."""
    heard = hear_twice(EQUAL, without(every), Strictness.USUAL)
    assert {each.kind for each in heard.findings} == {FindingKind.MISSING_GRACENOTE}


def test_what_is_left_out_by_habit_costs_less() -> None:
    """As before up to a fifth; then by how likely it is, down to 0.5 of 3.2 for who leaves out half."""
    assert [leaving_out(share) for share in (0.0, 0.19, 0.5, 0.9, 1.0)] == pytest.approx(
        [1.0, 1.0, 0.156, 0.156, 0.156], abs=0.001
    )
    assert 0.156 < leaving_out(0.3) < leaving_out(0.25) < 0.5
