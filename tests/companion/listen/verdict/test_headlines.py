"""A thing to mend in a few large words: they hold of every one of its findings."""

from __future__ import annotations

import pytest

from companion.listen.model.asked import Asked, ask
from companion.listen.model.findings import Finding, FindingKind, finding_at
from companion.listen.verdict.brief import brief_of
from companion.listen.verdict.headlines import Headline, headlines_of
from companion.listen.verdict.matter.drills import drill_for
from companion.listen.verdict.matter.evidence import Matter, Share
from companion.listen.verdict.verdict import Verdict
from tests.companion.listen.playing import asked_of
from tests.companion.window.takes.reviewing import MANY_SLIPS, reviewed

TUNE = asked_of("".join(f"A2B2{{g}}c2{{Gdc}}d2|{{gef}}e2f2{'ga'[bar % 2]}2B2|" for bar in range(8)))


def found(kind: FindingKind, played: int, wanted: str = "", heard_as: str = "", at_s: float = 1.0) -> Finding:
    """A finding of that kind at a note."""
    return finding_at(TUNE, played, kind, at_s=at_s, text="x", cause="x", wanted=wanted, heard=heard_as)


def headline(*findings: Finding, asked: Asked = TUNE) -> Headline:
    """The headline of one matter that is made of those."""
    matter = Matter(findings, drill_for(asked, findings), "x")
    none = Share(0, 0)
    verdict = Verdict("x", (matter,), (), None, none, none, none, ())
    return headlines_of(verdict, asked, sorted(findings, key=lambda each: each.at_s))[0]


MISSING, LONG = FindingKind.MISSING_GRACENOTE, FindingKind.LONG_GRACENOTE
WRONG, OTHER = found(FindingKind.WRONG_NOTE, 0, "A", "e"), found(FindingKind.WRONG_NOTE, 1, "B", "f")
LEFT_OUT = found(FindingKind.MISSING_NOTE, 2, "c")


@pytest.mark.parametrize(
    ("findings", "words"),
    [
        ((WRONG,), "E for low A"),
        ((WRONG, found(FindingKind.WRONG_NOTE, 8, "A", "e")), "E for low A, 2×"),
        ((WRONG, OTHER), "wrong notes, 2×"),
        ((WRONG, OTHER, LEFT_OUT), "wrong or no notes, 3×"),
        ((found(FindingKind.LATE, 0), found(FindingKind.LATE, 1)), "late, 2×"),
        ((found(MISSING, 2, "g"), found(MISSING, 3, "Gdc")), "gracenotes left out, 2×"),
        ((found(MISSING, 3, "g"), found(LONG, 11, "d", "d")), "throw on D, 2×"),
        ((found(MISSING, 3, "g"), found(LONG, 2, "g", "g")), "gracenotes, 2×"),
    ],
)
def test_a_headline_holds_of_all_that_it_stands_for(findings: tuple[Finding, ...], words: str) -> None:
    """One pair of notes where all are that pair, else what sort they are, or the embellishment that all are of."""
    assert headline(*findings).large == words


def test_the_bars_of_many_begin_with_the_one_that_was_heard_first() -> None:
    """Which is where the take stands then."""
    many = [found(FindingKind.WRONG_NOTE, each, "A", "e", at_s=100.0 - each) for each in range(0, 64, 8)]
    assert headline(*many).where == "bar 15 and 7 more"


def test_every_headline_of_a_take_full_of_slips_is_true() -> None:
    """No pair of notes is named for others."""
    review = reviewed(MANY_SLIPS).state.review
    assert review is not None
    assert review.asked is not None
    asked = ask(review.asked.schedule)
    for each in review.headlines:
        said = {brief_of(asked, review.findings[rank]).what for rank in each.places}
        assert each.what in said if len(said) == 1 else each.what not in said
