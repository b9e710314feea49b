"""What is wrong all through a take is one thing to learn. All shares are choices, no source."""

from __future__ import annotations

import pytest

from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.tally import Tally
from companion.listen.verdict.gather.habits import no_gracenotes, same_embellishment, scattered_slips, seldom_played
from tests.companion.listen.playing import asked_of
from tests.companion.listen.verdict.found import evidence, finding, tally_of

SINGLES = asked_of("{g}A2{g}B2{g}c2{g}d2|{g}e2{g}f2{g}e2{g}d2|{g}c2{g}B2c2d2|e2c2A4|")
DOUBLINGS = asked_of("{gBd}B2A2{gcd}c2A2|{gde}d2A2{gef}e2d2|e4A4|")
EMBELLISHED = 10


def missing(count: int) -> list[Finding]:
    """The gracenotes of the first so many notes."""
    return [finding(SINGLES, FindingKind.MISSING_GRACENOTE, played, letters="g") for played in range(count)]


def heard(right: int, of: int = 20) -> Tally:
    """So many gracenotes heard as asked."""
    return tally_of(SINGLES, gracenotes=of, gracenotes_right=right)


@pytest.mark.parametrize(("gone", "right", "told"), [(9, 2, True), (8, 2, False), (10, 0, True), (9, 3, False)])
def test_who_left_out_nine_in_ten_played_no_gracenotes(gone: int, right: int, told: bool) -> None:
    """If no more than a tenth of all gracenotes seem to have been heard: a melody note may sound the same."""
    found = missing(gone)
    matters = no_gracenotes(evidence(SINGLES, found, tally=heard(right)), found)
    assert bool(matters) is told


def test_no_gracenotes_says_how_many_were_left_out() -> None:
    """All, or nearly all."""
    for right, said in ((0, "No gracenotes were played: all 20"), (1, "Hardly any gracenotes were played: 19 of 20")):
        found = missing(10)
        (only,) = no_gracenotes(evidence(SINGLES, found, tally=heard(right)), found)
        assert only.text == f"{said} were left out, and the melody was heard bare."
        assert only.drill.slow_down == 4.0
        assert only.drill.text.startswith("Begin with one: play low A with its G gracenote four times slower")
        assert len(only.findings) == 10


def test_a_tune_with_two_gracenotes_is_not_played_bare() -> None:
    """It takes three."""
    few = asked_of("{g}A2{g}B2c2d2|e4d4|")
    for count, told in ((2, False), (3, True)):
        asked = few if count == 2 else asked_of("{g}A2{g}B2{g}c2d2|e4d4|")
        found = [finding(asked, FindingKind.MISSING_GRACENOTE, played, letters="g") for played in range(count)]
        tally = tally_of(asked, gracenotes=count)
        assert bool(no_gracenotes(evidence(asked, found, tally=tally), found)) is told


@pytest.mark.parametrize(("gone", "told"), [(7, False), (8, True), (10, True)])
def test_what_is_left_out_three_times_in_four_is_told_at_once(gone: int, told: bool) -> None:
    """Of ten G gracenotes."""
    found = missing(gone)
    matters = seldom_played(evidence(SINGLES, found), found)
    assert bool(matters) is told
    if gone == 8:
        assert matters[0].text == "8 of 10 G gracenotes were left out, in bars 1 and 2."
    if gone == 10:
        assert matters[0].text == "No G gracenotes were played: all ten were left out, in bars 1 to 3."


def test_two_of_two_are_no_habit_but_three_of_three_are() -> None:
    """A sort that the tune asks for so often."""
    for music, count, told in (("{gBd}B2A2{gcd}c2A2|", 2, False), ("{gBd}B2A2{gcd}c2A2|{gde}d2A2|", 3, True)):
        asked = asked_of(f"{music}e4A4|")
        places = [rank for rank, each in enumerate(asked.schedule.embellishments) if each is not None]
        found = [finding(asked, FindingKind.MISSING_GRACENOTE, played, letters="gBd") for played in places]
        assert len(found) == count
        assert bool(seldom_played(evidence(asked, found), found)) is told


def test_an_embellishment_that_lacked_one_gracenote_was_not_whole() -> None:
    """It was not left out."""
    places = [rank for rank, each in enumerate(DOUBLINGS.schedule.embellishments) if each is not None]
    found = [finding(DOUBLINGS, FindingKind.MISSING_GRACENOTE, played, letters="g") for played in places]
    (only,) = seldom_played(evidence(DOUBLINGS, found), found)
    assert only.text == "All 4 doublings were not whole: something was left out of each, in bars 1 and 2."


def test_an_embellishment_that_goes_wrong_in_two_ways_is_one_thing() -> None:
    """In one way it is what it is anyhow; single gracenotes are no movement of their own."""
    asked = asked_of("{gcd}c2d2{gcd}c2d2|{g}e2d2{g}e2d2|")
    ways = (FindingKind.MISSING_GRACENOTE, FindingKind.UNEVEN)
    doubled = [finding(asked, kind, played) for kind, played in zip(ways, (0, 2), strict=True)]
    (only,) = same_embellishment(evidence(asked, doubled), doubled)
    assert only.text == "missing-gracenote at 0. The C doubling went wrong twice in all, in bar 1."
    alike = [finding(asked, FindingKind.UNEVEN, played) for played in (0, 2)]
    assert same_embellishment(evidence(asked, alike), alike) == []
    single = [finding(asked, kind, played) for kind, played in zip(ways, (4, 6), strict=True)]
    assert same_embellishment(evidence(asked, single), single) == []


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        (FindingKind.WRONG_NOTE, "notes in all were wrong or left out"),
        (FindingKind.EXTRA_NOTE, "notes in all were not in the tune"),
        (FindingKind.EXTRA_GRACENOTE, "gracenotes in all were not in the tune"),
        (FindingKind.UNEVEN, "embellishments in all were uneven"),
    ],
)
def test_three_slips_with_one_remedy_are_one_thing_to_learn(kind: FindingKind, said: str) -> None:
    """Two are two; what came twice from one cause is no slip, and neither is a whole stretch left out."""
    found = [finding(SINGLES, kind, played, 10.0, cause=str(played), letters="A") for played in (0, 4, 8)]
    (only,) = scattered_slips(evidence(SINGLES, found), found)
    assert only.text == f"{kind.value} at 0. Three {said}, in bars 1 to 3."
    assert scattered_slips(evidence(SINGLES, found), found[:2]) == []
    again = finding(SINGLES, kind, 9, 10.0, cause="8", letters="A")
    assert scattered_slips(evidence(SINGLES, found), [*found, again]) == []
    long = [finding(SINGLES, kind, played, 10.0, cause=str(played), letters="AB") for played in (0, 4, 8)]
    assert bool(scattered_slips(evidence(SINGLES, long), long)) is (kind is FindingKind.UNEVEN)
