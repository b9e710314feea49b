"""Tunes written as ABC, and takes of them: exact, or played by a simulated learner."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from companion.listen.model.played import Sounded
from companion.notate.notating import NOTHING_GIVEN, Given, NotatedTune, notate
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.score.abc.tunebook import read_abc_text
from companion.score.model import Meter, Tune
from tests.learners.learner import Learner
from tests.learners.player import simulate

MARCH = """|: {g}c>{d}B | {GdGe}A2 {g}c>e {ag}a2 {fg}f>e | {gfg}f2 {g}e>{d}c {gef}e2 {g}c>{d}B |
{GdGe}A2 {g}c>e {ag}a2 {fg}f>e | {gcd}c2 {g}B>{d}A {gBd}B2 :|"""
JIG = """|: {g}e | {g}A{d}A{e}A {gcecG}c2e | {gfg}f2e {gcG}c2e | {Gdc}d{e}Bd {g}c{d}Ac | {g}B{e}G{d}B {gAGAG}A2 :|"""


IN_COMMON_TIME = Given(Meter(4, 4, "4/4"))
"""For what does not ask for the metre to be found, which takes as long again."""


def tune_of(music: str, meter: str = "4/4", tempo: str = "1/4=70") -> Tune:
    """A tune in quavers by default, without problems."""
    book = read_abc_text(f"%abc-2.1\nX:1\nT:A test\nM:{meter}\nL:1/8\nQ:{tempo}\nK:HP\n{music}\n")
    assert not book.problems, book.problems
    return book.tunes[0]


def take_of(tune: Tune, *, begins_s: float = 1.0) -> list[Sounded]:
    """Exactly what a tune asks for, at its own tempo; equal notes in a row are one."""
    schedule = build_schedule(tune, Timing())
    told: list[Sounded] = []
    for event in schedule.events:
        if not told or told[-1].note is not event.note:
            told.append(Sounded(begins_s + event.start_s, event.note))
    return [*told, Sounded(begins_s + schedule.duration_s, None)]


def played_by(learner: Learner, tune: Tune, draw: int) -> Sequence[Sounded]:
    """What one learner plays of a tune."""
    return simulate(tune, learner, draw).notes


def written(events: Sequence[Sounded], given: Given = NOTHING_GIVEN) -> NotatedTune:
    """The take written down; kept, since several facts are of one take."""
    return _written(tuple(events), given)


@cache
def _written(events: tuple[Sounded, ...], given: Given) -> NotatedTune:
    return notate(events, given, title="A test")
