"""Which of several tunes was played: of simulated learners, each take is its own tune's."""

from __future__ import annotations

import pytest

from companion.listen.model.played import Played
from companion.listen.take.likely_tune import clearly_likelier, share_of
from companion.score.model import Tune
from tests.learners.groups import LearnerGroup, learner_of
from tests.learners.pieces import Music, pieces
from tests.learners.player import simulate


def tunes() -> tuple[Tune, ...]:
    """The tunes that come with the program, and made-up ones."""
    return pieces(Music.TUNES)


def played(tune: Tune, group: LearnerGroup, draw: int) -> tuple[Played, ...]:
    """A take of a tune with a slip at every fifth note."""
    return tuple(simulate(tune, learner_of(group, draw, faults=0.2), draw).notes)


@pytest.mark.same_everywhere
@pytest.mark.parametrize("group", LearnerGroup)
def test_a_take_is_likelier_its_own_tune_than_the_one_it_was_laid_beside(group: LearnerGroup) -> None:
    """With a slip at every fifth note, of whichever learner; laid beside its own tune no other is likelier."""
    for draw, tune in enumerate(tunes()[::9]):
        events = played(tune, group, 91_000 + draw)
        wrong = tunes()[(tunes().index(tune) + 5) % len(tunes())]
        assert clearly_likelier(events, wrong, tunes()) is tune
        assert clearly_likelier(events, tune, tunes()) is None


@pytest.mark.same_everywhere
def test_nothing_is_concluded_from_a_few_notes() -> None:
    """Of a bar or two, and of nothing at all."""
    tune, wrong = tunes()[:2]
    events = played(tune, LearnerGroup.STEADY, 1)
    assert clearly_likelier(events[:10], wrong, tunes()) is None
    assert share_of((), tune) == 0.0


@pytest.mark.same_everywhere
def test_what_is_no_tune_of_them_is_taken_for_none() -> None:
    """A take of a tune that is not among the others is left to the judge."""
    tune, *others = tunes()
    assert clearly_likelier(played(tune, LearnerGroup.STEADY, 2), others[0], others) is None
