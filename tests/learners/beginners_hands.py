"""What a round of a beginner sounds like: the notes of the step, with a fault at each place that slipped."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import groupby
from random import Random

from companion.lesson.model.steps import Lesson, Pace, Step
from companion.lesson.steps.asking import asked_tune
from companion.listen.model.findings import FindingKind as Fault
from companion.schedule.stretch import Stretch
from companion.score.model import Tune
from companion.score.performance import performance
from tests.learners.beginner import Slipped
from tests.learners.learner import GRACENOTE_S, Learner, Simulated, Slip
from tests.learners.player import SimulatedPlayer

SPREAD = 0.02
SLOWEST_GRACENOTES = 2.0
"""However slowly they are asked for, gracenotes are played no slower than this many times."""


def played(lesson: Lesson, step: Step, pace: Pace, slipped: tuple[Slipped, ...], draw: int) -> Simulated:
    """The take of one round. What cannot be made at its place (two notes that would sound alike) is left undone: the
    faults made are told."""
    tune = asked_tune(lesson, step)
    notes = len(performance(tune))
    stretch = (step.stretch if step.kind.is_of_the_tune else None) or Stretch(0, notes)
    at = {each.place.played - stretch.first: each.kind for each in slipped}
    slowed = min(SLOWEST_GRACENOTES, pace.slow_down)
    learner = Learner(pace.speed, spread=SPREAD, drift=0.0, gracenote_s=GRACENOTE_S * slowed)
    return _BeginnersHands(excerpt(tune, stretch), learner, Random(draw), at).play()


def excerpt(tune: Tune, stretch: Stretch) -> Tune:
    """A stretch of a tune as a tune of its own, each bar as often as it is played in it."""
    turns = groupby((performance(tune)[each] for each in stretch.notes), key=lambda each: each.turn)
    bars = []
    for _, group in turns:
        notes = list(group)
        bars.append(notes[0].bar._replace(notes=tuple(each.note for each in notes)))
    return replace(tune, bars=tuple(bars), order=tuple(range(len(bars))))


class _BeginnersHands(SimulatedPlayer):
    """Slips where it is told to, and nowhere else."""

    def __init__(self, tune: Tune, learner: Learner, random: Random, at: Mapping[int, Fault]) -> None:
        super().__init__(tune, learner, random)
        self._at = at

    def _dares(self) -> bool:
        return self._index in self._at and self._index > 0

    def _slip(self) -> Slip | None:
        return self._at.get(self._index)

    def _tried(self, due: Slip) -> list[Slip]:
        return [self._at[self._index]]
