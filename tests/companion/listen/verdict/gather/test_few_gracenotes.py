"""A tune played with few of its gracenotes. All shares are choices, no source."""

from __future__ import annotations

from collections.abc import Sequence

from companion.listen.model.asked import Asked
from companion.listen.model.findings import FindingKind
from companion.listen.verdict.gather.few_gracenotes import few_gracenotes
from companion.listen.verdict.matter.evidence import Matter
from tests.companion.listen.playing import asked_of
from tests.companion.listen.verdict.found import evidence, finding, tally_of

TUNE = asked_of("{g}A2{d}B2{g}c2{gde}d2|{g}e2{gef}e2{gcd}c2{g}B2|{d}B2{gde}d2{g}c2{g}A2|{gef}e2{gcd}c2{g}B2{d}A2|")
"""Eight G gracenotes (three of them in bar 3 or so), three D gracenotes, six doublings: 29 gracenotes."""

G_SINGLES = (0, 2, 4, 7, 10, 11, 14)
D_SINGLES = (1, 8, 15)
DOUBLINGS = (3, 5, 6, 9, 12, 13)


def told(tune: Asked, places: Sequence[int], right: int, of: int = 28) -> list[Matter]:
    """What is said where all gracenotes were left out in these places."""
    missing = [finding(tune, FindingKind.MISSING_GRACENOTE, played, letters="g") for played in places]
    return few_gracenotes(evidence(tune, missing, tally=tally_of(tune, gracenotes=of, gracenotes_right=right)), missing)


def test_few_gracenotes_of_every_sort_are_one_thing_to_learn() -> None:
    """With its figure, and with one sort to begin with: a single gracenote, where most of them lack."""
    (only,) = told(TUNE, [0, 2, 4, 7, 1, 3, 5, 6], 12)
    assert only.text == "Of 28 gracenotes you played 12; the others were left out."
    assert only.count == 8
    assert only.drill.text == (
        "Begin with one sort, the G gracenotes: play low A with its G gracenote ten times clean, then bar 1 at half "
        "speed, then the whole tune with all its G gracenotes; then add the doublings and D gracenotes."
    )
    assert (only.drill.first, only.drill.last, only.drill.slow_down) == (0, 3, 2.0)


def test_where_most_were_played_each_sort_is_told_by_itself() -> None:
    """Up to six in ten are few."""
    places = [0, 2, 4, 7, 1, 3, 5, 6]
    assert told(TUNE, places, 60, 100)
    assert told(TUNE, places, 61, 100) == []


def test_a_handful_is_told_place_by_place() -> None:
    """Eight places and more are told together."""
    assert told(TUNE, [0, 2, 4, 1, 3, 5, 6], 12) == []


def test_one_sort_that_is_not_played_is_told_as_that_sort() -> None:
    """Three quarters of all that was left out."""
    assert told(TUNE, [*G_SINGLES[:6], *DOUBLINGS[:2]], 12) == []
    assert told(TUNE, [*G_SINGLES[:5], *DOUBLINGS[:3]], 12)


def test_without_single_gracenotes_one_begins_with_what_lacks_most() -> None:
    """Of a tune with doublings and strikes alone."""
    tune = asked_of("{gde}d2{gde}d2{gcd}c2{gBd}B2|{gef}e2{gdG}d2{GdG}B2{GdG}d2|{GdG}c2{GdG}B2{GdG}c2A2|")
    (only,) = told(tune, [0, 2, 3, 4, 6, 7, 8, 9], 10)
    assert only.drill.text.startswith("Begin with one sort, the doublings: play the ")
