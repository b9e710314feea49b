"""General pitch trackers as contenders: what the trade's own hearing must be better than.

Each gets what ours does not: the true pitch of the nine notes, drift apart. Its track becomes notes by the nearest of
them. They run on one core in a Python of their own, which has librosa, praat-parselmouth and aubio, or some of them.
"""

from __future__ import annotations

import json
import os
import subprocess
import tempfile
from collections.abc import Sequence
from functools import partial
from itertools import pairwise
from pathlib import Path
from types import TracebackType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fingering.notes import Note
from tests.hearing.contender import Contender
from tests.hearing.recording import Samples, TrueRecording
from tests.hearing.truth import HeardEvent

WORKER = Path(__file__).with_name("f0_worker.py")
SHORTEST_NOTE_S = 0.020
FARTHEST_CENTS = 100.0
MARGIN_CENTS = 100.0
BRIDGED_S = 0.030
"""The shortest note of a track; how far from a note its pitch may lie; how far beyond the scale it may go; and for how
long a track may lose a note that goes on: no source."""

ONE_CORE = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "NUMBA_NUM_THREADS")


class TrackerProcess:
    """A process that follows pitch. Use it as a context; `names` are the trackers that it has."""

    def __init__(self, python: str) -> None:
        env = {**os.environ, **dict.fromkeys(ONE_CORE, "1")}
        env.pop("PYTHONPATH", None)
        self._process = subprocess.Popen(
            [python, str(WORKER)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=env
        )
        self._folder = tempfile.TemporaryDirectory()
        self.names: tuple[str, ...] = tuple(self._answer())

    def __enter__(self) -> TrackerProcess:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._process.communicate()
        self._folder.cleanup()

    def contenders(self) -> list[Contender]:
        """Each tracker as a contender."""
        return [Contender(name, partial(self._heard, name)) for name in self.names]

    def _heard(self, name: str, recording: TrueRecording) -> tuple[Sequence[HeardEvent], float]:
        path = Path(self._folder.name) / "samples.npy"
        np.save(path, mono(recording.samples))
        margin = 2.0 ** (MARGIN_CENTS / 1200.0)
        asked = {
            "tracker": name,
            "path": str(path),
            "rate_hz": recording.rate_hz,
            "low_hz": min(recording.notes_hz) / margin,
            "high_hz": max(recording.notes_hz) * margin,
        }
        assert self._process.stdin is not None
        self._process.stdin.write(json.dumps(asked) + "\n")
        self._process.stdin.flush()
        told = self._answer()
        return notes_of_track(np.array(told["times_s"]), np.array(told["f0_hz"]), recording.notes_hz), told["cpu_s"]

    def _answer(self) -> Any:
        assert self._process.stdout is not None
        line = self._process.stdout.readline()
        if not line:
            raise OSError("the process of the pitch trackers ended")
        return json.loads(line)


def mono(samples: Samples) -> Samples:
    """The mean of all channels, shape (n,)."""
    return samples if samples.ndim == 1 else samples.mean(axis=1, dtype=np.float32)


def notes_of_track(
    times_s: NDArray[np.float64], f0_hz: NDArray[np.float64], notes_hz: Sequence[float]
) -> list[HeardEvent]:
    """A track of pitch (0 where there is none) as notes of 20 ms and longer, by the nearest of the nine pitches.

    What is shorter is left out, and a note that goes on after it is one.
    """
    if len(times_s) < 2:
        return []
    step_s = float(np.median(np.diff(times_s)))
    with np.errstate(divide="ignore"):
        away = 1200.0 * np.abs(np.subtract.outer(np.log2(f0_hz), np.log2(np.asarray(notes_hz))))
    nearest = np.where(away.min(axis=1) <= FARTHEST_CENTS, away.argmin(axis=1), -1)
    edges = np.flatnonzero(np.diff(nearest, prepend=-2, append=-2))
    heard: list[HeardEvent] = []
    for begin, end in pairwise(edges.tolist()):
        length_s = (end - begin) * step_s
        if nearest[begin] < 0 or length_s < SHORTEST_NOTE_S - 1e-9:
            continue
        note, onset_s = Note(int(nearest[begin])), float(times_s[begin]) - 0.5 * step_s
        if heard and heard[-1][2] is note and onset_s - heard[-1][1] <= BRIDGED_S:
            heard[-1] = (heard[-1][0], onset_s + length_s, note)
        else:
            heard.append((onset_s, onset_s + length_s, note))
    return heard
