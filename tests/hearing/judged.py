"""Prints how right the judge is on recordings, beside the same takes as MIDI.

python3 -m tests.hearing.judged [--takes N] [--seed N] [--source NAME]... [--condition NAME]...

Whole takes: so many with faults of every kind, whose recall and precision are told, and so many without a fault, whose
findings are all false. A source or condition is named by its whole name; the default is all of both.
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from random import Random

from companion.hearing.hear import hear_samples
from companion.hearing.heard import HeardSound
from companion.hearing.takes.judging import judge_heard
from companion.listen.judgement import Judgement, judge
from companion.listen.verdict.verdict import Verdict
from companion.score.model import Tune
from fingering.errors import UserError
from tests.hearing.conditions.condition import CONDITIONS, RecordingCondition, recorded
from tests.hearing.recording import TrueRecording
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.table import line
from tests.hearing.takes import SEED_STEP, cut
from tests.learners.groups import LearnerGroup
from tests.learners.learner import Simulated
from tests.learners.score import Case, Score
from tests.learners.trials import EVERY_FAULT, FAULTLESS, TRIALS, Slips

TOGETHER = "all kinds"
HEADS = (
    *("source", "condition", "faults", "recall", "precision", "recall, MIDI", "precision, MIDI"),
    *("notes without a fault", "findings there", "in 500 notes", "judged", "only melody"),
)
"""Judged: of the notes, gracenotes and movements that are judged by MIDI, the share that is by sound."""


@dataclass(frozen=True, slots=True, eq=False)
class JudgedTake:
    """A whole take, dry, and what is to be judged of it. begins_s: when in the take its sound begins."""

    trial: str
    draw: int
    tune: Tune
    take: Simulated
    dry: TrueRecording
    begins_s: float


def whole_take(trial: str, draw: int, source: SoundSource) -> JudgedTake:
    """A whole take of a trial of slips on a chanter drawn by lot."""
    slips = TRIALS[trial]
    assert isinstance(slips, Slips)
    tune, take = slips.play(LearnerGroup.STEADY, draw)
    whole = cut(trial, take, math.inf, Random(draw))
    return JudgedTake(trial, draw, tune, take, sounding(whole, source, draw), whole.begins_s)


def rows(
    takes: int, seed: int, sources: Sequence[SoundSource], conditions: Sequence[RecordingCondition]
) -> Iterator[tuple[str, ...]]:
    """The cells below HEADS for each source and condition."""
    draws = range(seed * SEED_STEP, seed * SEED_STEP + takes)
    for source in sources:
        played = [whole_take(trial, draw, source) for trial in (EVERY_FAULT, FAULTLESS) for draw in draws]
        for condition in conditions:
            yield _row(source, condition, played)


def _row(source: SoundSource, condition: RecordingCondition, played: Sequence[JudgedTake]) -> tuple[str, ...]:
    hearings: list[HeardSound | None] = []
    for each in played:
        recording = recorded(each.dry, condition, each.draw)
        try:
            hearings.append(hear_samples(recording.samples, recording.rate_hz))
        except UserError:
            hearings.append(None)
    return source.value, condition.name, *figures(played, hearings)


def figures(played: Sequence[JudgedTake], hearings: Sequence[HeardSound | None]) -> tuple[str, ...]:
    """The cells below HEADS but the first two, of takes and what was heard of each, None for one that was refused."""
    by_sound, by_midi, faultless, melody = Score(), Score(), Score(), 0
    places, of_places = 0, 0
    for each, heard in zip(played, hearings, strict=True):
        told, truly = _judged(each, heard), judge(each.tune, each.take.notes)
        found = told.findings if told else ()
        case = Case(each.trial, LearnerGroup.STEADY.value, each.draw)
        melody += heard is None or not heard.short_sounds
        places += _places(told.verdict) if told else 0
        of_places += _places(truly.verdict)
        if each.trial == FAULTLESS:
            faultless.add(each.take, found, case, TOGETHER)
        else:
            by_sound.add(each.take, found, case, TOGETHER)
            by_midi.add(each.take, truly.findings, case, TOGETHER)
    false = faultless.elsewhere + faultless.false_alarms[TOGETHER]
    return (
        str(by_sound.made(TOGETHER)),
        *(f"{_recall(each):.3f} | {_precision(each):.3f}" for each in (by_sound, by_midi)),
        *(str(faultless.notes), str(false), f"{500.0 * false / max(1, faultless.notes):.1f}"),
        f"{places / max(1, of_places):.3f}",
        f"{melody} of {len(played)}",
    )


def _judged(judged: JudgedTake, heard: HeardSound | None) -> Judgement | None:
    """How a take is judged by its sound, on its own clock; None where it is refused."""
    if heard is None:
        return None
    try:
        told = judge_heard(judged.tune, heard)
    except UserError:
        return None
    return replace(told, findings=tuple(replace(each, at_s=each.at_s + judged.begins_s) for each in told.findings))


def _places(verdict: Verdict) -> int:
    return verdict.notes.of + verdict.gracenotes.of + verdict.movements.of


def _recall(score: Score) -> float:
    return score.recall(TOGETHER)


def _precision(score: Score) -> float:
    """All that was told counts, near a fault or not."""
    told = score.hits[TOGETHER] + score.false_alarms[TOGETHER] + score.elsewhere
    return score.hits[TOGETHER] / told if told else 1.0


def main(arguments: Sequence[str] | None = None) -> None:
    """Judge, and print as it goes."""
    parser = argparse.ArgumentParser(prog="python3 -m tests.hearing.judged")
    parser.add_argument("--takes", type=int, default=3)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--source", action="append", choices=[each.value for each in SoundSource])
    parser.add_argument("--condition", action="append", choices=[each.name for each in CONDITIONS])
    asked = parser.parse_args(arguments)
    sources = [each for each in SoundSource if not asked.source or each.value in asked.source]
    conditions = [each for each in CONDITIONS if not asked.condition or each.name in asked.condition]
    print(line(HEADS), line(["---"] * len(HEADS)), sep="\n", flush=True)
    for cells in rows(asked.takes, asked.seed, sources, conditions):
        print(line(cells), flush=True)


if __name__ == "__main__":
    main()
