"""Hears a chanter in a stream of samples: its voice is learnt while it plays, then its notes are told as they begin."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from companion.hearing.known_voice import LevelFinder, louder, on_grid
from companion.hearing.learnt import Learnt
from companion.hearing.live.follower import NoteFollower
from companion.hearing.live.frames import FrameStream
from companion.hearing.live.gather import SoundGatherer
from companion.hearing.live.leak.loudspeaker_leak import LoudspeakerLeak
from companion.hearing.live.learn_job import LearnJob
from companion.hearing.live.live_note import HearingState, LiveNote
from companion.hearing.live.waiting import WaitingFrames
from companion.hearing.spectra import Floats

FIRST_TONAL_S = 4.0
"""A voice is learnt from so much tonal sound at least: on trial the scale was right after four seconds of a tune."""

FIRST_AGAIN = 1.3
SURE_BY_S = 12.0
"""Where that failed, as soon as there is this much more; a scale that could be another is taken as it is at last."""

AGAIN_S = (8.0, 15.0, 22.0, 30.0, 45.0, 60.0)
AGAIN_IN_ROOM_S = (5.2, 6.5, 8.0, 10.0, 12.5, 15.0, 18.0, 22.0, 30.0, 45.0, 60.0)
"""When the voice is learnt anew from all of it, for the notes that were not heard at first: more often in a room, where
a note that was never heard is soon taken for another."""

STARTED_S = 0.3
KEPT_BACK_S = 60.0
"""How much of what is not heard yet is kept until the voice is known."""

OWN_OVER_LEAK = 10.0
"""A frame is the learner's own where it is so much louder, as power, than what leaks into it."""

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
        self._leak = LoudspeakerLeak(rate_hz)
        self._waiting = WaitingFrames(len(self._frames.grid.bins_hz))
        self._follower: NoteFollower | None = None
        self._kept = None if kept is None else on_grid(kept, self._frames.grid)
        self._finder = None if self._kept is None else LevelFinder(self._kept)
        self._next_learning_s = FIRST_TONAL_S
        self._working = False
        self.level_db = SILENT_DB

    @property
    def learnt(self) -> Learnt | None:
        """The voice as it is known; None until it is."""
        return self._follower.learnt if self._follower else self._kept

    @property
    def state(self) -> HearingState:
        """Whether it waits for a chanter, learns one or hears its notes."""
        if self._follower:
            return HearingState.HEARING
        started = self._gatherer.tonal_s >= STARTED_S and self._kept is None
        return HearingState.LEARNING if started else HearingState.WAITING

    @property
    def share_learnt(self) -> float:
        """How much of the sound that is needed to learn the voice there is, 0 to 1; 1 once it is known."""
        return 1.0 if self.learnt else min(1.0, self._gatherer.tonal_s / self._next_learning_s)

    @property
    def leak_delay_s(self) -> float | None:
        """How much later than it is played our own loudspeaker is heard; None where it is not known to be."""
        return self._leak.delay_s

    def leak(self, reference: Floats, at_s: float) -> None:
        """Take in what our own loudspeaker plays, at the same rate, mono: what of it leaks into the microphone is then
        not taken for playing. at_s: when, in s from the first sample heard; it is heard up to 0.4 s later."""
        self._leak.play(reference, at_s)

    def hear(self, samples: Floats) -> tuple[LiveNote, ...]:
        """Take in the next mono samples, as many as there are; the notes that have become sure, in order of time."""
        samples = np.nan_to_num(np.asarray(samples, np.float32))
        if len(samples):
            self.level_db = float(max(SILENT_DB, 10.0 * np.log10(float(np.mean(np.square(samples))) + 1e-12)))
        thinned, powers = self._frames.take(samples)
        begins = self._waiting.end
        self._leak.compare(begins, powers)
        if self._follower is None:  # how loud it leaks must be known before anything can be heard beside it
            leaked = self._leak.leaked(begins, powers, np.zeros(powers.shape[1], np.float32))
        else:
            leaked = self._leak.expected(begins, len(powers))
        self._gatherer.gather(thinned, powers, self._foreign(begins, powers, leaked))
        self._waiting.add(powers)
        if self._follower is None:
            self._waiting.forget_beyond(round(KEPT_BACK_S / self._frames.grid.hop_s))
            self._find_level(begins, powers, leaked)
        if self._follower is None or self._leak.is_unclear(begins, len(powers)):
            return ()
        return self._hear_next(self._follower, len(powers))

    def _hear_next(self, follower: NoteFollower, came: int) -> tuple[LiveNote, ...]:
        first = self._waiting.first
        powers = self._waiting.next_frames(came)
        return follower.hear(powers, self._leak.leaked(first, powers, follower.learnt.ground))

    def next_job(self) -> LearnJob | None:
        """The voice to be learnt from what has sounded, each time that there is enough of it; else None."""
        if self._working or self._gatherer.tonal_s < self._next_learning_s:
            return None
        self._working = True
        surely = self.learnt is not None or self._gatherer.tonal_s < SURE_BY_S
        return LearnJob(self._gatherer.pieces(), self._frames.grid.rate_hz, surely, self.learnt)

    def take_in(self, learnt: Learnt | None) -> None:
        """Take in what a job returned."""
        self._working = False
        tonal_s = self._gatherer.tonal_s
        if learnt is None and self._follower is None:
            self._next_learning_s = tonal_s * FIRST_AGAIN
            return
        if learnt is not None:
            if self._follower is not None and self._follower.can_relearn(learnt):
                self._follower.relearn(learnt)
            else:
                self._follower = NoteFollower(learnt, self._waiting.first)
        in_room = self.learnt is not None and self.learnt.echo is not None
        later = [each for each in (AGAIN_IN_ROOM_S if in_room else AGAIN_S) if each > tonal_s]
        self._next_learning_s = later[0] if later else np.inf

    def _foreign(self, first: int, powers: Floats, leaked: Floats | None) -> NDArray[np.bool_] | None:
        """In which frames our own loudspeaker may be what is heard."""
        if not self._leak.may_be_heard(first, len(powers)):
            return None
        if leaked is None:
            return np.ones(len(powers), np.bool_)
        return np.asarray(powers.sum(axis=1) < OWN_OVER_LEAK * leaked.sum(axis=1))

    def _find_level(self, first: int, powers: Floats, leaked: Floats | None) -> None:
        """Begin to hear by the voice that was kept, once it is known how loud it is here."""
        if self._finder is None or self._kept is None or not len(powers):
            return
        if leaked is None and self._leak.may_be_heard(first, len(powers)):
            return
        by_db = self._finder.find(powers if leaked is None else powers[powers.sum(axis=1) > 2.0 * leaked.sum(axis=1)])
        if by_db is not None:
            self._follower = NoteFollower(louder(self._kept, by_db), self._waiting.first)
