"""Takes as what sounds: simulated learners with their faults, and the same tunes played plainly."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from random import Random

from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Fingered, Played
from fingering.chart import sounded
from fingering.holes import HoleState
from tests.hearing.truth import SoundingState, TrueNote, moved, true_notes
from tests.learners.groups import LearnerGroup
from tests.learners.learner import Learner, Simulated
from tests.learners.pieces import Music, pieces
from tests.learners.player import simulate
from tests.learners.sensors import LEAD_S
from tests.learners.trials import EVERY_FAULT, TRIALS, Slips

LEAD_IN_S = 0.5
TAIL_S = 0.5
"""Silence before the first note and after the last."""

CROSSINGS = 0.5
"""The chance of a crossing noise where there can be one: many, so that few takes have enough of them."""

SEED_STEP = 1000
PLAIN_BEATS_PER_MINUTE = (50.0, 90.0)
"""The tempo of plain tunes: common practice, no source."""


@dataclass(frozen=True, slots=True)
class SoundingTake:
    """A take, or a part of one, as what sounds.

    simulated: the whole take that it was cut from, with its faults; its `begins_s` is second 0 here.
    """

    name: str
    segments: tuple[SoundingState, ...]
    duration_s: float
    simulated: Simulated
    begins_s: float = 0.0

    @property
    def notes(self) -> tuple[TrueNote, ...]:
        """The truth as notes."""
        return true_notes(self.segments)


def learners_take(draw: int, seconds: float = 20.0) -> SoundingTake:
    """A learner's take with faults of every kind, crossing noises among them; each third is of another group."""
    group = tuple(LearnerGroup)[draw % len(LearnerGroup)]
    trial = TRIALS[EVERY_FAULT]
    assert isinstance(trial, Slips)
    _, take = trial.play(group, draw)
    return cut(f"{group.value} {draw}", take, seconds, Random(draw))


def crossings_take(draw: int, seconds: float = 20.0) -> SoundingTake:
    """A steady learner's take with many crossing noises, 12 to 90 ms long, and no other fault."""
    trial = Slips(None, (FindingKind.CROSSING,), faults=CROSSINGS)
    _, take = trial.play(LearnerGroup.STEADY, draw)
    return cut(f"crossings {draw}", take, seconds, Random(draw))


def plain_take(draw: int, seconds: float = 20.0) -> SoundingTake:
    """A tune played in time and without a fault."""
    played = pieces(Music.TUNES)
    learner = Learner(Random(draw).uniform(*PLAIN_BEATS_PER_MINUTE), spread=0.0, drift=0.0)
    take = simulate(played[draw % len(played)], learner, draw)
    return cut(f"plain {draw}", take, seconds, Random(draw))


def some_takes(count: int, seed: int = 0, seconds: float = 20.0) -> tuple[SoundingTake, ...]:
    """So many takes: of four, two have all faults, one has crossing noises, and one is plain."""
    ways = (learners_take, crossings_take, learners_take, plain_take)
    first = seed * SEED_STEP
    return tuple(ways[draw % len(ways)](draw, seconds) for draw in range(first, first + count))


def cut(name: str, take: Simulated, seconds: float, random: Random) -> SoundingTake:
    """A stretch of a take that is `seconds` long with the silence around it, or all of it where it is shorter."""
    segments = segments_of(take)
    room_s = seconds - LEAD_IN_S - TAIL_S
    last_start_s = max(segments[0].onset_s, segments[-1].stop_s - room_s)
    starts = [each.onset_s for each in segments if each.onset_s <= last_start_s]
    begins_s = random.choice(starts) - LEAD_IN_S
    kept = [each for each in moved(segments, -begins_s) if LEAD_IN_S - 1e-9 <= each.onset_s < seconds - TAIL_S - LEAD_S]
    kept[-1] = replace(kept[-1], stop_s=min(kept[-1].stop_s, seconds - TAIL_S))
    return SoundingTake(name, tuple(kept), kept[-1].stop_s + TAIL_S, take, begins_s)


def segments_of(take: Simulated) -> tuple[SoundingState, ...]:
    """The hole states that sound in a whole take, with the noises of its crossings marked.

    The 4 ms by which fingers that open lead those that close are left out: they are shorter than any change of sound.
    """
    noises = [each.at_s for each in take.made if each.kind is FindingKind.CROSSING]
    segments: list[SoundingState] = []
    for onset_s, stop_s, state in _sounding(take.holes):
        if segments and segments[-1].state == state and onset_s - segments[-1].stop_s < 1e-9:
            segments[-1] = replace(segments[-1], stop_s=stop_s)
        else:
            foreign = any(abs(onset_s - at_s) <= LEAD_S + 1e-9 for at_s in noises)
            segments.append(SoundingState(onset_s, stop_s, state, foreign=foreign))
    return tuple(segments)


def _sounding(played: Sequence[Played]) -> Iterator[tuple[float, float, HoleState]]:
    """Each state from when to when it sounds; the short time of a lead counts to the state that sounds as it does."""
    begun_s: float | None = None
    held: HoleState | None = None
    for event, after in pairwise(played):
        state = event.state if isinstance(event, Fingered) else None
        following = after.state if isinstance(after, Fingered) else None
        onset_s, begun_s = event.at_s if begun_s is None else begun_s, None
        if state is not None and following is not None and after.at_s - onset_s <= LEAD_S + 1e-9:
            if sounded(state) is sounded(following):
                begun_s = onset_s
                continue
            state = held or state
        if state is not None:
            yield onset_s, after.at_s, state
        held = state
