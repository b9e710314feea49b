"""Embellishments spelled oddly, and parts of an odd length. All: common practice, no source."""

from __future__ import annotations

import pytest

from companion.score.problems import ProblemKind
from companion.score.writing import check_writing
from tests.companion.score.reading import tune_of

ODD = {
    # a group that is none, one gracenote from one
    "A {gce}c|": ("{gce} onto C from low A is spelled oddly", "is the C doubling {gcd} meant?"),
    "A {gBdd}B|": ("{gBdd} onto B from low A is spelled oddly", "is the B doubling {gBd} meant?"),
    # a form that belongs after another note
    "c {dGc}d|": ("{dGc} onto D from C is spelled oddly", "is the throw on D {Gdc} meant?"),
}


@pytest.mark.parametrize("music", ODD)
def test_an_odd_spelling_is_asked_about(music: str) -> None:
    """With the usual one."""
    (problem,) = check_writing(tune_of(music))
    assert problem.kind is ProblemKind.ODD_EMBELLISHMENT
    assert (problem.what, problem.remedy) == ODD[music]


@pytest.mark.parametrize(
    "music", ["A {gcd}c|", "d {GBGe}A|", "A {GdGe}A|", "a {cd}c|", "g {acd}c|", "A {GdGeAfA}e|", "A {g}B|", "{gcd}c|"]
)
def test_the_usual_ones_are_left_alone(music: str) -> None:
    """Each where it belongs."""
    assert check_writing(tune_of(music)) == ()


HEAD = "X:1\nT:t\nM:2/4\nL:1/8\nK:HP\n"


@pytest.mark.parametrize(
    ("bars", "odd"),
    [(8 * "A4|", []), (4 * "A4|", []), (7 * "A4|", ["1"]), ("|:" + 8 * "A4|" + ":|" + 9 * "B4|", ["2"])],
)
def test_parts_have_four_eight_or_sixteen_bars(bars: str, odd: list[str]) -> None:
    """Others are asked about."""
    assert [problem.what.split()[1] for problem in check_writing(tune_of(HEAD + bars))] == odd


def test_a_pick_up_and_a_second_ending_do_not_count() -> None:
    """Seven bars, an ending of one, and a pick-up that completes it: eight."""
    music = "|:A|" + 7 * "B4|" + "1 c3:|2 c3||"
    assert check_writing(tune_of(HEAD + music)) == ()
