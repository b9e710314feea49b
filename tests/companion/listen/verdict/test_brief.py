"""A finding in a few words, which are read while playing."""

from __future__ import annotations

import re
from itertools import product

import pytest

from companion.listen.find.listener import Listener, listen
from companion.listen.model.asked import Asked, ask
from companion.listen.model.findings import Finding, FindingKind, finding_at
from companion.listen.verdict.brief import MOST_LETTERS, brief_of
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from fingering.notes import Note
from tests.companion.listen.playing import asked_of, heard, index_of, played_as, with_note
from tests.learners.learner import Learner
from tests.learners.player import simulate
from tests.learners.tunes import make_tune

pytestmark = pytest.mark.same_everywhere

TUNE = asked_of("A|A2B2{g}c2d2|{gef}e2{gf}g2{gde}d2{g}c2|")
ORDERS = re.compile(r"\b(stop|halt|pause|wait|start|begin|began|begun|again|restart|repeat)", re.IGNORECASE)
"""What would tell a player to stop, or to begin again."""


def found(kind: FindingKind, played: int = 6, wanted: str = "", heard_as: str = "") -> Finding:
    """A finding of that kind at a note."""
    return finding_at(TUNE, played, kind, at_s=1.0, text="x", cause="x", wanted=wanted, heard=heard_as)


@pytest.mark.parametrize(
    ("finding", "words"),
    [
        (found(FindingKind.WRONG_NOTE, 3, "c", "e"), "bar 1: E for C"),
        (found(FindingKind.WRONG_NOTE, 0, "A", "a"), "pick-up: high A for low A"),
        (found(FindingKind.MISSING_NOTE, 3, "c"), "bar 1: C left out"),
        (found(FindingKind.MISSING_NOTE, 3, "cde"), "bar 1: some notes skipped"),
        (found(FindingKind.EXTRA_NOTE, 3, "", "f"), "bar 1: extra F"),
        (found(FindingKind.MISSING_GRACENOTE, 3, "g"), "bar 1: no G gracenote"),
        (found(FindingKind.MISSING_GRACENOTE, 5, "gef"), "bar 2: no doubling"),
        (found(FindingKind.EXTRA_GRACENOTE, 3, "", "d"), "bar 1: extra D gracenote"),
        (found(FindingKind.WRONG_GRACENOTE, 3, "g", "a"), "bar 1: high A for G gracenote"),
        (found(FindingKind.LONG_GRACENOTE, 3, "g", "g"), "bar 1: G gracenote long"),
        (found(FindingKind.UNEVEN, 6, "gf", "gf"), "bar 2: doubling uneven"),
        (found(FindingKind.EARLY, 3), "bar 1: C early"),
        (found(FindingKind.LATE, 3), "bar 1: C late"),
        (found(FindingKind.POINTING, 3, "3:1", "1.2:1"), "bar 1: pointed too little"),
        (found(FindingKind.BREAK, 3), "bar 1: a silence"),
        (found(FindingKind.RESTART, 3), "bar 1: C once more"),
    ],
)
def test_a_finding_has_a_few_words(finding: Finding, words: str) -> None:
    """The place, and what was heard for what."""
    assert brief_of(TUNE, finding).text == words


def test_a_crossing_names_the_finger() -> None:
    """The few words name the finger, and say whether it was late or early."""
    tune = asked_of("A2c2e2A2|A2c2e2A2|")
    take = played_as(tune)
    noisy = with_note(take, take[index_of(tune, 6)].at_s, Note.LOW_A, 0.04)
    (crossing,) = heard(tune, noisy)
    assert crossing.kind is FindingKind.CROSSING
    assert brief_of(tune, crossing).text == "bar 2: upper ring late"


def test_what_was_found_more_than_once_says_how_often() -> None:
    """In a figure, which is read faster."""
    assert brief_of(TUNE, found(FindingKind.WRONG_NOTE, 3, "c", "e"), 3).text == "bar 1: E for C, 3×"


@pytest.mark.parametrize("draw", range(6))
def test_nobody_is_told_to_stop_or_to_begin_again(draw: int) -> None:
    """Whatever is played, what is told live has no such word, and is no long sentence."""
    tune = make_tune(draw)
    asked = ask(build_schedule(tune, Timing()))
    learner = Learner(60.0 + 10.0 * draw, faults=0.3, restarts=0.2, stops=0.2)
    findings = listen(simulate(tune, learner, draw).notes, Listener(asked))
    assert len({each.kind for each in findings}) > 7
    for each in findings:
        assert_brief(asked, each)


def test_the_longest_names_are_short_enough() -> None:
    """Of notes and gracenotes."""
    kinds = (FindingKind.WRONG_NOTE, FindingKind.WRONG_GRACENOTE, FindingKind.EXTRA_GRACENOTE)
    for kind, one, other in product(kinds, Note, Note):
        assert_brief(TUNE, found(kind, wanted=one.letter, heard_as=other.letter))


def assert_brief(asked: Asked, finding: Finding) -> None:
    """Few words, none of which is an order."""
    brief = brief_of(asked, finding)
    assert len(brief.what) <= MOST_LETTERS, brief
    assert not ORDERS.search(brief.text), brief
