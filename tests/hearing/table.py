"""The table of a trial: each contender on each source under each condition."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tests.hearing.conditions.condition import RecordingCondition, recorded
from tests.hearing.contender import Contender
from tests.hearing.measures import HearingScore, score_of, together
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.takes import SoundingTake
from tests.hearing.truth import NoteClass

HEADS = (
    *("source", "condition", "hearing", "melody F1", "gracenote F1", "gracenotes heard", "foreign heard"),
    *("shorter heard", "onset ms, median", "90 %", "bias", "false per 100", "times real time"),
)


@dataclass(frozen=True, slots=True)
class TrialRow:
    """One contender on all takes from one source under one condition. speed: seconds heard in a second of one core."""

    source: SoundSource
    condition: RecordingCondition
    contender: str
    score: HearingScore
    speed: float

    def cells(self) -> tuple[str, ...]:
        """What stands in the table, below HEADS."""
        score = self.score
        ms = (1000.0 * each for each in (score.onset_error_s(50.0), score.onset_error_s(90.0), score.onset_bias_s))
        return (
            self.source.value,
            self.condition.name,
            self.contender,
            _share(score.f1(NoteClass.MELODY)),
            _share(score.f1(NoteClass.GRACENOTE)),
            *(_share(score.recall(each)) for each in (NoteClass.GRACENOTE, NoteClass.FOREIGN, NoteClass.PASSING)),
            *("-" if math.isnan(each) else f"{each:.1f}" for each in (*ms, score.false_per_100)),
            f"{self.speed:.0f}",
        )


def _share(share: float) -> str:
    return "-" if math.isnan(share) else f"{share:.3f}"


def trial(
    takes: Sequence[SoundingTake],
    sources: Sequence[SoundSource],
    conditions: Sequence[RecordingCondition],
    contenders: Sequence[Contender],
    seed: int,
) -> Iterator[TrialRow]:
    """Try all on all. Each take from each source has a chanter of its own, the same under every condition."""
    for source in sources:
        dry = [sounding(take, source, seed * len(takes) + rank) for rank, take in enumerate(takes)]
        for condition in conditions:
            recordings = [recorded(each, condition, seed * len(takes) + rank) for rank, each in enumerate(dry)]
            for contender in contenders:
                told = [contender.hear(each) for each in recordings]
                score = together(score_of(each.notes, heard) for each, (heard, _) in zip(recordings, told, strict=True))
                cpu_s = sum(seconds for _, seconds in told)
                speed = sum(each.duration_s for each in recordings) / max(cpu_s, 1e-9)
                yield TrialRow(source, condition, contender.name, score, speed)


def line(cells: Sequence[str]) -> str:
    """A row of a table in Markdown."""
    return f"| {' | '.join(cells)} |"
