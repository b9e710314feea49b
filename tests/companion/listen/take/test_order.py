"""The parts of a tune in another order than they are written in."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.listen.judgement import Judgement, judge
from companion.listen.model.asked import ask_for
from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Sounded
from companion.listen.model.terms import AT_SPEED, TakeTerms
from companion.listen.take.order import times_through
from companion.schedule.stretch import Stretch
from companion.score.performance import performance
from fingering.notes import Note
from tests.companion.listen.playing import index_of, played_as, tune_of
from tests.learners.groups import LearnerGroup, learner_of
from tests.learners.player import simulate
from tests.learners.trials import TRIALS

pytestmark = pytest.mark.same_everywhere

FIRST = "{g}A2B2c2d2|e2f2{gef}e2d2|c2{g}B2d2e2|"
TUNE = tune_of(
    f"|:{FIRST}[1 c2d2e2{{d}}A2:|[2 {{g}}c2d2{{d}}A4|]"
    "|:a2f2g2e2|{g}f2a2{gef}e2f2|d2e2f2g2|[1 a2{g}e2c2B2:|[2 {g}a2e2{d}A4|]"
    "|:{gBd}B2g2B2f2|c2{g}a2c2g2|{gcd}c2B2A2G2|B2{g}c2B2A2:|"
)


def played(*times: int, terms: TakeTerms = AT_SPEED) -> Judgement:
    """A faultless take that goes through the parts as these ranks of their six times say, each part has two."""
    order = tuple(TUNE.order[turn] for rank in times for turn in times_through(TUNE)[rank].turns)
    asked = ask_for(replace(TUNE, order=order), AT_SPEED)
    return judge(TUNE, played_as(asked), terms=terms)


def test_a_part_that_is_repeated_is_gone_through_twice() -> None:
    """Four bars each, the ending that is played then included."""
    assert [(each.part, len(each.turns)) for each in times_through(TUNE)] == [(part, 4) for part in (0, 0, 1, 1, 2, 2)]


@pytest.mark.parametrize(
    ("times", "text"),
    [
        ((0, 1, 4, 5), "Part 2 was left out."),
        ((1, 2, 3, 4, 5), "Part 1 was played once where it is written twice."),
        ((0, 1, 2, 3, 2, 3, 4, 5), "Part 2 was played four times where it is written twice."),
        ((0, 1, 2, 2, 3, 4, 5), "Part 2 was played three times where it is written twice."),
        ((0, 1, 4, 5, 2, 3), "The parts were played in the order 1, 1, 3, 3, 2, 2; it is written 1, 1, 2, 2, 3, 3."),
        ((4, 5, 0, 1, 2, 3), "The parts were played in the order 3, 3, 1, 1, 2, 2; it is written 1, 1, 2, 2, 3, 3."),
        ((0, 3, 2, 1, 4, 5), "The parts were played in the order 1, 2, 2, 1, 3, 3; it is written 1, 1, 2, 2, 3, 3."),
    ],
)
def test_another_order_is_told_once_and_nothing_else_is(times: tuple[int, ...], text: str) -> None:
    """No note of it is a fault, and the verdict counts every one as right."""
    judgement = played(*times)
    assert [(each.kind, each.text) for each in judgement.findings] == [(FindingKind.ORDER, text)]
    assert judgement.verdict.notes.right == judgement.verdict.notes.of
    assert [matter.text for matter in judgement.verdict.first] == [text]


def test_no_order_is_looked_for_in_what_was_asked_for_in_part() -> None:
    """From the second part on."""
    notes = performance(TUNE)
    part = TakeTerms(stretch=Stretch(next(rank for rank, each in enumerate(notes) if each.turn == 8), len(notes)))
    assert FindingKind.ORDER not in [each.kind for each in played(4, 5, 2, 3, terms=part).findings]


def test_what_is_played_after_another_order_is_judged_in_its_place() -> None:
    """A wrong note in a part that came out of turn is told with its own bar."""
    order = tuple(TUNE.order[turn] for rank in (0, 1, 4, 5, 2, 3) for turn in times_through(TUNE)[rank].turns)
    asked = ask_for(replace(TUNE, order=order), AT_SPEED)
    take = played_as(asked)
    at = next(rank for rank, each in enumerate(asked.schedule.played) if each.turn == 9) + 1
    event = index_of(asked, at)
    take[event] = Sounded(take[event].at_s, Note.E)
    found = judge(TUNE, take).findings
    assert [(each.kind, each.bar) for each in found if each.kind is not FindingKind.ORDER] == [
        (FindingKind.WRONG_NOTE, asked.played(at).bar.number)
    ]


@pytest.mark.parametrize("times", [(0, 1, 2, 3, 4, 5), (0, 1, 2, 3), (0, 1), (2, 3), (0, 1, 2, 3, 4, 5) * 3])
def test_as_written_is_no_other_order(times: tuple[int, ...]) -> None:
    """A take may end after a part, or be of one part alone; a tune may be played again, and again."""
    assert played(*times).findings == ()


@pytest.mark.parametrize("change", ["two parts swapped", "a part left out"])
def test_a_variation_taken_for_another_is_found_to_be_that(change: str) -> None:
    """The lament's second variation sounds like its first with notes too many, and of this learner was read so."""
    tune, take = TRIALS[f"order: {change}"].play(LearnerGroup.STEADY, 1)[:2]
    assert [each.kind for each in judge(tune, take.notes).findings] == [FindingKind.ORDER]


@pytest.mark.parametrize("draw", range(4))
def test_who_begins_with_a_later_part_and_goes_round_plays_another_order(draw: int) -> None:
    """Though it costs little to read it as a take that begins there, and a tune played again."""
    ranks = (4, 5, 0, 1, 2, 3)
    order = tuple(TUNE.order[turn] for rank in ranks for turn in times_through(TUNE)[rank].turns)
    learner = learner_of(LearnerGroup.STEADY, draw)
    take = simulate(replace(TUNE, order=order), learner, draw)
    assert FindingKind.ORDER in [each.kind for each in judge(TUNE, take.notes).findings]
