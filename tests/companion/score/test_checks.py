"""Piping checks: warnings about what fingers cannot play or ears cannot hear. All: common practice, no source."""

from __future__ import annotations

import pytest

from companion.score.checks import check
from companion.score.problems import Severity
from tests.companion.score.reading import tune_of

NO_INDEX = "the upper index finger is already up"

WARNED = {
    "g {gcd}c|": (
        4,
        f"there is no G gracenote from high G: {NO_INDEX}",
        "write the half doubling, or let the thumb play it: a high A gracenote",
    ),
    "a {gcd}c|": (4, f"there is no G gracenote from high A: {NO_INDEX}", "write the half doubling"),
    "a {g}c|": (4, f"there is no G gracenote from high A: {NO_INDEX}", "leave it out"),
    "e {g}a|": (
        4,
        "there is no G gracenote onto high A: the upper index finger has to stay up",
        "leave it out or write the doubling {ag}",
    ),
    "A A|": (
        3,
        "two notes on low A with nothing between them sound as one",
        "write a gracenote or a strike between them, or tie them",
    ),
    "c {cd}c|": (4, "a gracenote on C after the same note is not heard", "leave it out or choose another"),
    "A {gc}c|": (5, "a gracenote on C before the same note is not heard", "leave it out or choose another"),
    "A {gdd}c|": (6, "two gracenotes on D with nothing between them sound as one", "leave one out"),
    "A z B|": (3, "a chanter cannot rest: the note before goes on sounding", "lengthen that note instead"),
}


@pytest.mark.parametrize("music", WARNED)
def test_warned_of(music: str) -> None:
    """One warning, at its place, with a remedy."""
    column, what, remedy = WARNED[music]
    (problem,) = check(tune_of(music))
    assert (problem.place.column, problem.what, problem.remedy) == (column, what, remedy)
    assert problem.severity is Severity.WARNING


@pytest.mark.parametrize(
    "music", ["A {g}A|", "A-A B|", "a {cd}c|", "g {acd}c|", "e {ag}a|", "e {gf}g|", "e {agf}g|", "A {GdGe}A|", "A B c|"]
)
def test_nothing_to_say(music: str) -> None:
    """What pipers play is left alone."""
    assert check(tune_of(music)) == ()


def test_neighbours_are_those_of_the_performance() -> None:
    """The first note of a repeat follows its last one."""
    assert [problem.place.column for problem in check(tune_of("|:A B c A:|"))] == [3]


def test_a_thing_is_said_once() -> None:
    """However often the bar is played, and one rest stands for all."""
    assert len(check(tune_of("|:A A z B z:|"))) == 2
