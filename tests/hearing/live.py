"""A live hearing put to the trial: fed in blocks, what it tells and how late."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from companion.hearing.learnt import Learnt
from companion.hearing.live.live_hearing import LiveHearing
from companion.hearing.live.live_note import LiveNote
from tests.hearing.recording import Samples, TrueRecording
from tests.hearing.truth import HeardEvent, TrueNote

BLOCK_S = 0.010


@dataclass(frozen=True, slots=True)
class LiveTrial:
    """What was told of one recording. told_s: of each note told, how much of the recording had been given by then.
    voiced_s: how much had been given when the voice was known. busy_s: processor seconds of all blocks; learning_s:
    of learning."""

    notes: tuple[LiveNote, ...]
    told_s: tuple[float, ...]
    voiced_s: float
    busy_s: float
    learning_s: float
    duration_s: float
    slowest_block_s: float = 0.0

    @property
    def events(self) -> list[HeardEvent]:
        """The notes told, as measures take them."""
        ends = [*(each.at_s for each in self.notes[1:]), self.duration_s]
        return [
            (each.at_s, stop_s, each.note)
            for each, stop_s in zip(self.notes, ends, strict=False)
            if each.note is not None
        ]

    def latencies_s(self, true: Sequence[TrueNote], after_s: float, tolerance_s: float = 0.05) -> list[float]:
        """Of each true note that began after `after_s` and was told rightly: from when it began to when it was told."""
        found = []
        for each in true:
            if each.onset_s < after_s:
                continue
            near = [
                (abs(note.at_s - each.onset_s), told_s)
                for note, told_s in zip(self.notes, self.told_s, strict=True)
                if note.note in each.accepted and abs(note.at_s - each.onset_s) <= tolerance_s
            ]
            if near:
                found.append(min(near)[1] - each.onset_s)
        return found


def mono_of(samples: Samples) -> Samples:
    """One channel of many."""
    return samples if samples.ndim == 1 else samples.mean(axis=1, dtype=np.float32)


def heard_live(
    recording: TrueRecording,
    kept: Learnt | None = None,
    block_s: float = BLOCK_S,
    before: Callable[[LiveHearing, float], None] | None = None,
) -> tuple[LiveTrial, LiveHearing]:
    """Feed a recording in blocks. before: is called with the hearing and the time, before each block."""
    hearing = LiveHearing(recording.rate_hz, kept)
    samples = mono_of(recording.samples)
    block = max(1, round(block_s * recording.rate_hz))
    notes: list[LiveNote] = []
    told_s: list[float] = []
    voiced_s, busy_s, learning_s, slowest_s = 0.0 if kept else np.inf, 0.0, 0.0, 0.0
    for first in range(0, len(samples), block):
        if before:
            before(hearing, first / recording.rate_hz)
        part = samples[first : first + block]
        began_s = time.process_time()
        told = hearing.hear(part)
        spent_s = time.process_time() - began_s
        busy_s += spent_s
        slowest_s = max(slowest_s, spent_s)
        now_s = (first + len(part)) / recording.rate_hz
        notes += told
        told_s += [now_s] * len(told)
        job = hearing.next_job()
        if job is not None:
            began_s = time.process_time()
            hearing.take_in(job())
            learning_s += time.process_time() - began_s
            if hearing.learnt is not None:
                voiced_s = min(voiced_s, now_s)
    assert all(one.at_s < two.at_s for one, two in pairwise(notes)), "told out of order"
    duration_s = len(samples) / recording.rate_hz
    trial = LiveTrial(tuple(notes), tuple(told_s), voiced_s, busy_s, learning_s, duration_s, slowest_s)
    return trial, hearing
