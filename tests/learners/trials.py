"""The trials: for each sort of fault, who makes it in which music, and what of what is told of the take is right.

What holds throughout a take (its order of parts, slow gracenotes, another setting, an unsteady tempo) counts once a
take, as told or not told.
"""

from __future__ import annotations

import statistics
from collections.abc import Iterator
from dataclasses import dataclass
from random import Random

from companion.listen.judgement import Judgement
from companion.listen.model.findings import Finding
from companion.listen.model.findings import FindingKind as Fault
from companion.score.model import Tune
from tests.learners.changes import GONE_ROUND, OrderChange, another_setting, goes_round, reordered
from tests.learners.groups import LearnerGroup, learner_of
from tests.learners.hear import heard
from tests.learners.learner import SLIPS, HardSlip, Made, Simulated, Slip, Where
from tests.learners.pieces import Music, pieces
from tests.learners.player import simulate
from tests.learners.score import Case, Score

FAULTS, RESTARTS, STOPS = 0.12, 0.15, 0.05
LEFT_OUT = 0.6

SLOW_TOLD_S = 0.090
"""Gracenotes need not be told as slow below this median: at usual strictness each passes up to 85 ms."""

TEMPO_TOLD_FROM = 0.13
"""A tempo that rises by this share from its slowest to its fastest may truly be told to wander."""

EVERY_FAULT = "every fault"
DRILLS = "every fault, drills"
HOLES = "every fault, hole states"
FAULTLESS = "faultless"
LAST_NOTE = "on the last note"
SECOND_OF_EQUAL = "on the second of two equal notes"
LEAVES_OUT = "60 % of gracenotes left out"
SLOW = "slow gracenotes throughout"
UNSTEADY = "unsteady tempo"
SETTING = "another setting"

_ON_LAST_NOTE: tuple[Slip, ...] = (
    Fault.CROSSING,
    Fault.MISSING_GRACENOTE,
    Fault.EXTRA_GRACENOTE,
    Fault.WRONG_GRACENOTE,
    Fault.LONG_GRACENOTE,
    Fault.WRONG_NOTE,
    Fault.LATE,
)
_ON_SECOND: tuple[Slip, ...] = (*_ON_LAST_NOTE, Fault.EARLY)


@dataclass(frozen=True, slots=True)
class Slips:
    """A trial of slips: each melody note has this chance of one of these kinds, in `music`, told as notes or holes."""

    label: str | None
    kinds: tuple[Slip, ...] = SLIPS
    where: Where = Where.ANYWHERE
    faults: float = FAULTS
    leaves_out: float = 0.0
    music: Music = Music.TUNES
    holes: bool = False
    stumbles: bool = False

    def play(self, group: LearnerGroup, draw: int) -> tuple[Tune, Simulated]:
        """One take; every second round of the pieces with stops and fresh starts, if any."""
        played = pieces(self.music)
        stumbles = self.stumbles and draw // len(played) % 2 == 0
        learner = learner_of(
            group,
            draw,
            faults=self.faults,
            restarts=RESTARTS if stumbles else 0.0,
            stops=STOPS if stumbles else 0.0,
            where=self.where,
            leaves_out=self.leaves_out,
            kinds=self.kinds,
        )
        tune = played[draw % len(played)]
        return tune, simulate(tune, learner, draw)

    def score(self, score: Score, case: Case, group: LearnerGroup) -> None:
        """Play and judge one take, and count it."""
        tune, take = self.play(group, case.draw)
        judgement = heard(tune, take, holes=self.holes)
        score.add(take, judgement.findings if judgement else (), case, self.label)


@dataclass(frozen=True, slots=True)
class Order:
    """A faultless take with the parts in another order: all of that order must be told, once."""

    change: OrderChange

    def play(self, group: LearnerGroup, draw: int) -> tuple[Tune, Simulated]:
        """One take of the next tune that has the parts for it."""
        random = Random(draw)
        played = pieces(Music.PARTS)
        for step in range(len(played)):
            tune = played[(draw + step) % len(played)]
            changed = reordered(tune, self.change, random)
            if changed is not None:
                return tune, simulate(changed, learner_of(group, draw), draw)
        raise AssertionError(f"no tune for {self.change}")

    def score(self, score: Score, case: Case, group: LearnerGroup) -> None:
        """Play and judge one take, and count it."""
        tune, take = self.play(group, case.draw)
        judgement = heard(tune, take)
        found = judgement.findings if judgement else ()
        told = [each for each in found if each.kind is Fault.ORDER]
        right = judgement is not None and len(told) == 1 and _sounding(judgement.tune) == _sounding(take.tune)
        others = [each for each in found if each not in told]
        label = GONE_ROUND if goes_round(tune, take.tune) else self.change.value
        score.add_throughout(take, right, others, case, label, Made(Fault.ORDER, 0.0, 0))


@dataclass(frozen=True, slots=True)
class SlowGracenotes:
    """A take that is faultless but for slow gracenotes throughout; they must be told once from SLOW_TOLD_S on.

    Where they are not told as that, a long gracenote by itself is true.
    """

    def play(self, group: LearnerGroup, draw: int) -> tuple[Tune, Simulated]:
        """One take."""
        played = pieces(Music.TUNES)
        tune = played[draw % len(played)]
        return tune, simulate(tune, learner_of(group, draw, slow_gracenotes=True), draw)

    def score(self, score: Score, case: Case, group: LearnerGroup) -> None:
        """Play and judge one take, and count it."""
        tune, take = self.play(group, case.draw)
        judgement = heard(tune, take)
        found = judgement.findings if judgement else ()
        told = [each for each in found if each.kind is Fault.LONG_GRACENOTE and each.throughout]
        alone = [each for each in found if each.kind is Fault.LONG_GRACENOTE and not each.throughout]
        others = [each for each in found if each not in told and (told or each not in alone)]
        must = statistics.median(take.gracenotes_s) >= SLOW_TOLD_S
        label = SLOW if must else f"{SLOW}, under {1000 * SLOW_TOLD_S:.0f} ms"
        made = Made(Fault.LONG_GRACENOTE, 0.0, 0, ms=1000.0 * statistics.median(take.gracenotes_s))
        score.add_throughout(take, bool(told) or not must, others, case, label, made)


@dataclass(frozen=True, slots=True)
class UnsteadyTempo:
    """A take that is faultless but for a tempo that wanders by 15 %, which the verdict must tell."""

    def play(self, group: LearnerGroup, draw: int) -> tuple[Tune, Simulated]:
        """One take."""
        played = pieces(Music.TUNES)
        tune = played[draw % len(played)]
        return tune, simulate(tune, learner_of(group, draw), draw)

    def score(self, score: Score, case: Case, group: LearnerGroup) -> None:
        """Play and judge one take, and count it; of others it is false to tell it, but of those whose tempo did wander
        by as much."""
        tune, take = self.play(group, case.draw)
        judgement = heard(tune, take)
        told = judgement is not None and tells_of_tempo(judgement)
        if group is LearnerGroup.UNSTEADY:
            score.add_throughout(take, told, (), case, UNSTEADY, Made(Fault.LATE, 0.0, 0))
        elif _wanders(learner_of(group, case.draw).drift) < TEMPO_TOLD_FROM:
            score.false_alarms[UNSTEADY] += told


@dataclass(frozen=True, slots=True)
class Setting:
    """A faultless take of another setting of the tune, which must be told once, as that.

    What is told note by note at a changed note is true, though not what a teacher would say: it does not count as
    false, unless the setting is told as well.
    """

    def play(self, group: LearnerGroup, draw: int) -> tuple[Tune, Simulated, frozenset[int]]:
        """One take, and the written notes that were changed."""
        played = pieces(Music.TUNES)
        tune = played[draw % len(played)]
        changed, ranks = another_setting(tune, Random(draw))
        return tune, simulate(changed, learner_of(group, draw), draw), ranks

    def score(self, score: Score, case: Case, group: LearnerGroup) -> None:
        """Play and judge one take, and count it."""
        tune, take, ranks = self.play(group, case.draw)
        judgement = heard(tune, take)
        found = judgement.findings if judgement else ()
        told = tells_of_setting(judgement) if judgement else []
        others = [each for each in found if each not in told and (told or each.note not in ranks)]
        score.add_throughout(take, bool(told), others, case, SETTING, Made(Fault.WRONG_NOTE, 0.0, min(ranks)))


def _wanders(drift: float) -> float:
    """By what share a tempo that wanders by `drift` to both sides rises from its slowest to its fastest."""
    return 2.0 * drift / (1.0 - drift)


def tells_of_tempo(judgement: Judgement) -> bool:
    """Whether the verdict says that the tempo wandered, ran, dragged or was another one for a while."""
    texts = [each.text for each in judgement.verdict.matters]
    return any(text.startswith("The tempo ") or "elsewhere at" in text for text in texts)


def tells_of_setting(judgement: Judgement) -> list[Finding]:
    """The findings of which the verdict says that they are another setting."""
    return [finding for each in judgement.verdict.matters if each.setting for finding in each.findings]


def _sounding(tune: Tune) -> list[tuple[object, ...]]:
    return [(note.note, *note.gracenotes) for bar in tune.order for note in tune.bars[bar].notes]


Trial = Slips | Order | SlowGracenotes | UnsteadyTempo | Setting


def _hard() -> Iterator[tuple[str, Trial]]:
    for slip in HardSlip:
        yield slip.value, Slips(slip.value, (slip,))
    yield LAST_NOTE, Slips(LAST_NOTE, _ON_LAST_NOTE, Where.LAST_NOTE, 1.0)
    yield SECOND_OF_EQUAL, Slips(SECOND_OF_EQUAL, _ON_SECOND, Where.SECOND_OF_EQUAL, 0.5)
    yield LEAVES_OUT, Slips(LEAVES_OUT, faults=0.0, leaves_out=LEFT_OUT)
    yield SLOW, SlowGracenotes()
    for change in OrderChange:
        yield change.value, Order(change)
    yield UNSTEADY, UnsteadyTempo()
    yield SETTING, Setting()


TRIALS: dict[str, Trial] = {
    EVERY_FAULT: Slips(None, stumbles=True),
    DRILLS: Slips(None, music=Music.DRILLS, stumbles=True),
    HOLES: Slips(None, holes=True, stumbles=True),
    FAULTLESS: Slips(FAULTLESS, faults=0.0),
    **dict(_hard()),
}
"""Every trial by its name."""
