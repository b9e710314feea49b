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
from companion.hearing.takes.judging import judge_heard
from companion.listen.judgement import judge
from companion.listen.model.findings import Finding
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
    *("notes without a fault", "findings there", "in 500 notes", "only melody"),
)


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
    by_sound, by_midi, faultless, melody = Score(), Score(), Score(), 0
    for each in played:
        found, short_sounds = _heard(each, condition)
        case = Case(each.trial, LearnerGroup.STEADY.value, each.draw)
        melody += not short_sounds
        if each.trial == FAULTLESS:
            faultless.add(each.take, found, case, TOGETHER)
        else:
            by_sound.add(each.take, found, case, TOGETHER)
            by_midi.add(each.take, judge(each.tune, each.take.notes).findings, case, TOGETHER)
    false = faultless.elsewhere + faultless.false_alarms[TOGETHER]
    return (
        source.value,
        condition.name,
        str(by_sound.made(TOGETHER)),
        *(f"{_recall(each):.3f} | {_precision(each):.3f}" for each in (by_sound, by_midi)),
        *(str(faultless.notes), str(false), f"{500.0 * false / max(1, faultless.notes):.1f}"),
        f"{melody} of {len(played)}",
    )


def _heard(judged: JudgedTake, condition: RecordingCondition) -> tuple[tuple[Finding, ...], bool]:
    """What is told of a recording, and whether short sounds were judged."""
    recording = recorded(judged.dry, condition, judged.draw)
    try:
        heard = hear_samples(recording.samples, recording.rate_hz)
        found = judge_heard(judged.tune, heard).findings
        return tuple(replace(each, at_s=each.at_s + judged.begins_s) for each in found), heard.short_sounds
    except UserError:
        return (), False


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
