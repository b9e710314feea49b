"""The table of a live trial: the hearing of a whole file, one that learns as it goes, and one that knows the scale."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from companion.hearing.hear import told
from companion.hearing.learnt import Learnt
from companion.hearing.live.calibration import ScaleCalibration
from fingering.chart import chart
from fingering.errors import UserError
from fingering.notes import Note
from tests.hearing.conditions.condition import RecordingCondition, recorded
from tests.hearing.live import BLOCK_S, LiveTrial, heard_live, mono_of
from tests.hearing.measures import HearingScore, score_of, together
from tests.hearing.recording import TrueRecording
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.takes import LEAD_IN_S, TAIL_S, SoundingTake, plain_take
from tests.hearing.truth import NoteClass, SoundingState

LIVE_HEADS = (
    *("source", "condition", "hearing", "melody F1", "gracenote F1", "gracenotes heard", "onset ms, median", "90 %"),
    *("false per 100", "told after ms, median", "95 %", "most", "ms of a core for each s", "voice after s"),
)

SETTLED_S = 2.0
"""Latencies are counted from so long after the voice was known, when what waited has been heard."""

NOTE_S = 1.0


def scale_take(note_s: float = NOTE_S) -> SoundingTake:
    """The nine notes from low G to high A, each once."""
    onsets = [LEAD_IN_S + note * note_s for note in Note]
    segments = tuple(
        SoundingState(onset_s, onset_s + note_s, chart(note)) for onset_s, note in zip(onsets, Note, strict=True)
    )
    return replace(plain_take(0), name="scale", segments=segments, duration_s=segments[-1].stop_s + TAIL_S)


def calibrated(scale: TrueRecording) -> Learnt | None:
    """What is learnt of a scale, in blocks as they come; None where it was not heard as one."""
    calibration = ScaleCalibration(scale.rate_hz)
    samples = mono_of(scale.samples)
    block = round(BLOCK_S * scale.rate_hz)
    for first in range(0, len(samples), block):
        calibration.hear(samples[first : first + block])
    job = calibration.next_job()
    if job is not None:
        calibration.take_in(job())
    return calibration.learnt


@dataclass(frozen=True, slots=True)
class LiveRow:
    """One way of hearing on all takes from one source under one condition; trials: none for the whole file."""

    source: SoundSource
    condition: RecordingCondition
    hearing: str
    score: HearingScore
    latencies_s: tuple[float, ...] = ()
    trials: tuple[LiveTrial, ...] = ()

    def cells(self) -> tuple[str, ...]:
        """What stands in the table, below LIVE_HEADS."""
        score = self.score
        shares = (score.f1(NoteClass.MELODY), score.f1(NoteClass.GRACENOTE), score.recall(NoteClass.GRACENOTE))
        onsets = (1000.0 * score.onset_error_s(50.0), 1000.0 * score.onset_error_s(90.0), score.false_per_100)
        late = ("-", "-", "-")
        if self.latencies_s:
            late_ms = 1000.0 * np.percentile(self.latencies_s, (50.0, 95.0, 100.0))
            late = (f"{late_ms[0]:.0f}", f"{late_ms[1]:.0f}", f"{late_ms[2]:.0f}")
        cost, voiced = "-", "-"
        if self.trials:
            seconds = sum(each.duration_s for each in self.trials)
            cost = f"{1000.0 * sum(each.busy_s for each in self.trials) / seconds:.0f}"
            voiced = f"{float(np.median([each.voiced_s for each in self.trials])):.1f}"
        return (
            *(self.source.value, self.condition.name, self.hearing),
            *(f"{each:.3f}" for each in shares),
            *(f"{each:.1f}" for each in onsets),
            *(*late, cost, voiced),
        )


def live_trial(
    takes: Sequence[SoundingTake],
    sources: Sequence[SoundSource],
    conditions: Sequence[RecordingCondition],
    seed: int,
) -> Iterator[LiveRow]:
    """Try the three ways on all. The scale is played on the take's own chanter, in the same place."""
    seeds = [seed * len(takes) + rank for rank in range(len(takes))]
    for source in sources:
        for condition in conditions:
            recordings = [
                recorded(sounding(take, source, each), condition, each) for take, each in zip(takes, seeds, strict=True)
            ]
            scales = [recorded(sounding(scale_take(), source, each), condition, each) for each in seeds]
            whole = [score_of(each.notes, _told(each)) for each in recordings]
            yield LiveRow(source, condition, "whole file", together(whole))
            unknown: list[Learnt | None] = [None] * len(recordings)
            yield _row(source, condition, "live, learning", recordings, unknown)
            yield _row(source, condition, "live, scale known", recordings, [calibrated(each) for each in scales])


def _told(recording: TrueRecording) -> list[tuple[float, float, Note]]:
    try:
        return told(recording.samples, recording.rate_hz)
    except UserError:
        return []


def _row(
    source: SoundSource,
    condition: RecordingCondition,
    hearing: str,
    recordings: Sequence[TrueRecording],
    kept: Sequence[Learnt | None],
) -> LiveRow:
    trials = [heard_live(each, voice)[0] for each, voice in zip(recordings, kept, strict=True)]
    scores = [score_of(each.notes, trial.events) for each, trial in zip(recordings, trials, strict=True)]
    latencies = [
        late_s
        for each, trial in zip(recordings, trials, strict=True)
        for late_s in trial.latencies_s(each.notes, trial.voiced_s + SETTLED_S)
    ]
    return LiveRow(source, condition, hearing, together(scores), tuple(latencies), tuple(trials))
