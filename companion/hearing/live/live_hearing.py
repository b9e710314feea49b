"""Hears a chanter in a stream of samples: its voice is learnt while it plays, then its notes are told as they begin."""

from __future__ import annotations

from collections import deque

import numpy as np

from companion.hearing.learning import Learnt
from companion.hearing.live.follower import NoteFollower
from companion.hearing.live.frames import FrameStream
from companion.hearing.live.gather import SoundGatherer
from companion.hearing.live.learn_job import LearnJob
from companion.hearing.live.live_note import HearingState, LiveNote
from companion.hearing.spectra import Floats

FIRST_TONAL_S = 4.0
"""A voice is learnt from so much tonal sound at least: on trial the scale was right after four seconds of a tune."""

FIRST_AGAIN = 1.3
SURE_BY_S = 12.0
"""Where that failed, as soon as there is this much more; a scale that could be another is taken as it is at last."""

AGAIN_S = (15.0, 30.0, 60.0)
"""When the voice is learnt anew from all of it, for the notes that were not heard at first."""

STARTED_S = 0.3
KEPT_BACK_S = 60.0
"""How much of what is not heard yet is kept until the voice is known."""

CATCH_UP = 10
CATCH_UP_FRAMES = 40
"""How many frames of those that wait are heard for each new one, and at most at once: some 6 ms of work."""

SILENT_DB = -120.0


class LiveHearing:
    """Hears a chanter while it sounds.

    rate_hz: the rate of the samples, 8 to 96 kHz. kept: its voice as it was learnt earlier, so that it is heard at
    once. Without one nothing is told until some seconds have sounded; these are heard afterwards. It starts no thread:
    its owner asks for `next_job` now and then, calls it where that stalls nobody, and gives the result to `take_in`.
    """

    def __init__(self, rate_hz: float, kept: Learnt | None = None) -> None:
        self._frames = FrameStream(rate_hz)
        self._gatherer = SoundGatherer(self._frames.grid)
        self._waiting: deque[Floats] = deque()
        self._waiting_frames = 0
        self._first_waiting = 0
        self._next_learning_s = FIRST_TONAL_S
        self._working = False
        self._follower: NoteFollower | None = None
        self.level_db = SILENT_DB
        if kept is not None:
            self._follower = NoteFollower(kept)

    @property
    def learnt(self) -> Learnt | None:
        """The voice as it is known; None until it is."""
        return self._follower.learnt if self._follower else None

    @property
    def state(self) -> HearingState:
        """What it is about."""
        if self._follower:
            return HearingState.HEARING
        started = self._gatherer.tonal_s >= STARTED_S
        return HearingState.LEARNING if started else HearingState.WAITING

    @property
    def share_learnt(self) -> float:
        """How much of the sound that is needed to learn the voice there is, 0 to 1; 1 once it is known."""
        return 1.0 if self._follower else min(1.0, self._gatherer.tonal_s / self._next_learning_s)

    def hear(self, samples: Floats) -> tuple[LiveNote, ...]:
        """Take in the next mono samples, as many as there are; the notes that have become sure, in order of time."""
        samples = np.nan_to_num(np.asarray(samples, np.float32))
        if len(samples):
            self.level_db = float(max(SILENT_DB, 10.0 * np.log10(float(np.mean(np.square(samples))) + 1e-12)))
        thinned, powers = self._frames.take(samples)
        self._gatherer.gather(thinned, powers)
        self._wait(powers)
        if self._follower is None:
            return ()
        most = min(max(CATCH_UP * len(powers), 1), max(CATCH_UP_FRAMES, len(powers)))
        return self._follower.hear(self._next_frames(most))

    def next_job(self) -> LearnJob | None:
        """The voice to be learnt from what has sounded, each time that there is enough of it; else None."""
        if self._working or self._gatherer.tonal_s < self._next_learning_s:
            return None
        self._working = True
        surely = self._follower is not None or self._gatherer.tonal_s < SURE_BY_S
        return LearnJob(self._gatherer.pieces(), self._frames.grid.rate_hz, surely)

    def take_in(self, learnt: Learnt | None) -> None:
        """Take in what a job returned."""
        self._working = False
        tonal_s = self._gatherer.tonal_s
        if learnt is None and self._follower is None:
            self._next_learning_s = tonal_s * FIRST_AGAIN
            return
        later = [each for each in AGAIN_S if each > tonal_s]
        self._next_learning_s = later[0] if later else np.inf
        if learnt is None:
            return
        if self._follower is not None and self._follower.learnt.voice.pitches == learnt.voice.pitches:
            self._follower.relearn(learnt)
        else:
            self._follower = NoteFollower(learnt, self._first_waiting)

    def _wait(self, powers: Floats) -> None:
        self._waiting.append(powers)
        self._waiting_frames += len(powers)
        while self._follower is None and self._waiting_frames * self._frames.grid.hop_s > KEPT_BACK_S:
            oldest = self._waiting.popleft()
            self._waiting_frames -= len(oldest)
            self._first_waiting += len(oldest)

    def _next_frames(self, most: int) -> Floats:
        taken: list[Floats] = []
        count = 0
        while self._waiting and count < most:
            part = self._waiting.popleft()
            if count + len(part) > most:
                self._waiting.appendleft(part[most - count :])
                part = part[: most - count]
            taken.append(part)
            count += len(part)
        self._waiting_frames -= count
        self._first_waiting += count
        return np.concatenate(taken) if taken else np.zeros((0, len(self._frames.grid.bins_hz)), np.float32)
