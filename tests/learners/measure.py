"""Measures how right the judge is: so many takes of a trial by one group of learners, judged and counted."""

from __future__ import annotations

from companion.listen.judgement import Judgement
from tests.learners.groups import LearnerGroup
from tests.learners.hear import heard, heard_live
from tests.learners.score import Case, Score
from tests.learners.trials import FAULTLESS, TRIALS, Slips


def measured(trial: str, group: LearnerGroup, takes: int, first: int = 0) -> Score:
    """The score over the takes `first` to `first` + `takes` - 1 of a trial; the number of a take is its draw."""
    score = Score()
    for draw in range(first, first + takes):
        TRIALS[trial].score(score, Case(trial, group.value, draw), group)
    return score


def measured_live(trial: Slips, name: str, group: LearnerGroup, takes: int) -> Score:
    """The score of what is told of slips while they are played."""
    score = Score()
    for draw in range(takes):
        tune, take = trial.play(group, draw)
        score.add(take, heard_live(tune, take, holes=trial.holes), Case(name, group.value, draw), trial.label)
    return score


def faultless_findings(group: LearnerGroup, takes: int) -> Score:
    """The score over faultless takes: its `elsewhere` are the findings, which are all false."""
    return measured(FAULTLESS, group, takes)


def judged_again(case: Case) -> Judgement | None:
    """The judgement on the take of a case."""
    tune, take = TRIALS[case.trial].play(LearnerGroup(case.group), case.draw)[:2]
    trial = TRIALS[case.trial]
    return heard(tune, take, holes=isinstance(trial, Slips) and trial.holes)
