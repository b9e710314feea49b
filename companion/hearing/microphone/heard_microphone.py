"""One open microphone in the process that owns it: its clock, what is heard in it, what is recorded of it."""

from __future__ import annotations

import base64
from collections.abc import Callable
from functools import partial
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from companion.files.worker import RUNNING, Done, Failed, Worker
from companion.hearing.kept_voice import voice_from_bytes, voice_to_bytes
from companion.hearing.learnt import Learnt
from companion.hearing.live.calibration import ScaleCalibration
from companion.hearing.live.learn_job import LearnJob
from companion.hearing.live.live_hearing import LiveHearing
from companion.hearing.microphone.driver import RATE_HZ
from companion.hearing.microphone.recorder import RecentSound, SoundRecorder
from companion.hearing.microphone.sample_clock import MOST_FILLED_S, MicrophoneClock
from fingering.errors import UserError

Samples = NDArray[np.float32]
Tell = Callable[..., None]
"""Tells an answer of this microphone: its kind, then what belongs to it. Any thread may call."""

STATE_EVERY_S = 0.1
"""How often it is told how loud it is, and how far it is learnt."""

FULL_SCALE = 0.99
CLIPPED_SHARE = 0.002
CLIPPED_OVER_S = 0.5
"""It is too loud while so many of the samples of the last half second stand at the loudest that there can be. The share
is that by which a whole recording is called clipped (`hearing.troubles`)."""


class HeardMicrophone:
    """What becomes of the samples of a microphone. For one thread; `tell` is also called by the recorder's."""

    def __init__(self, tell: Tell) -> None:
        self._tell = tell
        self._clock = MicrophoneClock(RATE_HZ)
        self._recent = RecentSound(RATE_HZ)
        self._loud = LoudSamples()
        self._hearing = LiveHearing(float(RATE_HZ), None)
        self._hearing_begins = 0
        self._scale: ScaleCalibration | None = None
        self._learning: VoiceLearning | None = None
        self._state_told_at = 0
        self._recorder: SoundRecorder | None = None
        self._recorded_from: tuple[str, int] | None = None
        self._closing: list[SoundRecorder] = []

    def take(self, came: list[tuple[float, Samples]], dropped: int) -> None:
        """Take what was handed over, at which times, and after it `dropped` samples that found no room."""
        blocks = [np.zeros(0, np.float32)]
        for at_s, samples in came:
            blocks.append(samples)
            missing = self._clock.take(at_s, len(samples))
            if missing:
                blocks.append(np.zeros(missing, np.float32))
                self._tell("overrun", missing / RATE_HZ)
        if dropped:
            self._tell("overrun", dropped / RATE_HZ)
            filled = min(dropped, round(MOST_FILLED_S * RATE_HZ))
            self._clock.fill(filled)
            blocks.append(np.zeros(filled, np.float32))
        self._hear(np.concatenate(blocks))
        self._record()
        self._learn()
        self._tell_state()

    def keep(self, voice: str) -> None:
        """Hear by what was learnt before; tells where that cannot be read."""
        try:
            self._hear_anew(voice_from_bytes(base64.b64decode(voice)))
        except UserError as error:
            self._tell("not kept", error.what, error.remedy)

    def hear_scale(self, wanted: bool) -> None:
        """Begin to hear a scale from which all notes are learnt, or leave it off; tells how far it has come."""
        self._scale = ScaleCalibration(float(RATE_HZ)) if wanted else None

    def played(self, at_s: float, rate_hz: float, samples: str) -> None:
        """Take in what the loudspeaker plays: 16 bits each, little-endian, the first at `at_s`."""
        reference = np.frombuffer(base64.b64decode(samples), "<i2").astype(np.float32) / np.float32(32768.0)
        if rate_hz != RATE_HZ:
            at = np.arange(0.0, len(reference), rate_hz / RATE_HZ)
            reference = np.interp(at, np.arange(len(reference)), reference).astype(np.float32)
        self._hearing.leak(reference, (self._clock.sample_at(at_s) - self._hearing_begins) / RATE_HZ)

    def record(self, path: str, began_s: float) -> None:
        """Begin a recording; tells when its first sample sounded, or why there is none."""
        self.stop(None)
        first = max(round(self._clock.sample_at(began_s)), self._recent.first) if self._recent.stop else 0
        try:
            self._recorder = SoundRecorder(Path(path), RATE_HZ, first, partial(self._recorded, path))
        except UserError as error:
            self._tell("unrecorded", path, error.what, error.remedy, error.where or "")
            return
        self._recorded_from = path, first
        self._record()

    def stop(self, at_s: float | None) -> None:
        """End the recording at a time, which may be to come; None ends it with what there is."""
        if self._recorder:
            if at_s is None or not self._recent.stop:
                self._recorder.end_at(self._recent.stop)
            else:
                self._recorder.end_at(round(self._clock.sample_at(at_s)))
            self._record()

    def close(self) -> None:
        """End all that is recorded, and wait for it: nothing may be lost."""
        self.stop(None)
        for each in self._closing:
            each.wait()

    def _hear_anew(self, learnt: Learnt) -> None:
        self._hearing = LiveHearing(float(RATE_HZ), learnt)
        self._hearing_begins = self._recent.stop
        self._tell("heard", self._clock.time_of(self._recent.stop), None, 1.0)  # whatever sounded by what was known

    def _learn(self) -> None:
        """Have a voice learnt in another thread, and take in what was learnt, unless it is wanted no longer."""
        owner = self._scale or self._hearing
        if self._learning is None:
            job = owner.next_job()
            self._learning = VoiceLearning(owner, job) if job else None
        elif self._learning.over:
            learning, self._learning = self._learning, None
            if learning.owner is owner:
                learnt = learning.learnt()
                owner.take_in(learnt)
                if self._scale is None:
                    self._tell_learnt(learnt)
                elif self._scale.learnt:
                    self._end_scale(self._scale.learnt)

    def _end_scale(self, learnt: Learnt) -> None:
        self._tell_scale()
        self._scale = None
        self._hear_anew(learnt)
        self._tell_learnt(learnt)

    def _tell_learnt(self, learnt: Learnt | None) -> None:
        if learnt:
            self._tell("learnt", base64.b64encode(voice_to_bytes(learnt)).decode("ascii"))

    def _tell_scale(self) -> None:
        scale = self._scale
        if scale:
            known = "".join(note.letter for note in scale.known)
            wanted, sounding = (each.letter if each is not None else None for each in (scale.wanted, scale.sounding))
            done = scale.learnt is not None
            self._tell("scale", known, wanted, sounding, scale.share_held, scale.trouble, done)

    def _hear(self, samples: Samples) -> None:
        self._recent.put(samples)
        self._loud.take(samples)
        if self._scale:
            self._scale.hear(samples)
        for each in self._hearing.hear(samples):
            at_s = self._clock.time_of(self._hearing_begins + each.at_s * RATE_HZ)
            self._tell("heard", at_s, each.note.letter if each.note is not None else None, each.confidence)

    def _record(self) -> None:
        if self._recorded_from is not None and self._recent.stop:
            path, first = self._recorded_from
            self._tell("recording", path, self._clock.time_of(first))
            self._recorded_from = None
        if self._recorder and not self._recorder.put(self._recent):
            self._recorder.close()
            self._closing = [*(each for each in self._closing if not each.closed), self._recorder]
            self._recorder = None

    def _recorded(self, path: str, fault: UserError | None, frames: int) -> None:
        if fault:
            self._tell("unrecorded", path, fault.what, fault.remedy, fault.where or "")
        self._tell("recorded", path, frames / RATE_HZ)

    def _tell_state(self) -> None:
        now = self._recent.stop
        hearing = self._hearing
        if now - self._state_told_at < STATE_EVERY_S * RATE_HZ:
            return
        self._state_told_at = now
        self._tell_scale()
        self._tell("state", hearing.state.value, hearing.share_learnt, hearing.level_db, self._loud.clipped)


class VoiceLearning:
    """A voice that is learnt in a thread of its own, for the hearing or the scale that asks for it."""

    def __init__(self, owner: LiveHearing | ScaleCalibration, job: LearnJob) -> None:
        self.owner = owner
        self._worker = Worker(job, "learning")
        self._worker.start()

    @property
    def over(self) -> bool:
        """Whether it has come to an end."""
        return self._worker.outcome is not RUNNING

    def learnt(self) -> Learnt | None:
        """What was learnt, None where that was no chanter. Raises what ended it."""
        outcome = self._worker.outcome
        if isinstance(outcome, Failed):
            raise outcome.error
        return outcome.value if isinstance(outcome, Done) else None


class LoudSamples:
    """Counts the samples of the last moment that are as loud as can be."""

    def __init__(self) -> None:
        self.clipped = False
        self._loud = 0
        self._all = 0

    def take(self, samples: Samples) -> None:
        """Take in the next samples."""
        self._loud += int((np.abs(samples) >= FULL_SCALE).sum())
        self._all += len(samples)
        if self._all >= CLIPPED_OVER_S * RATE_HZ:
            self.clipped = self._loud > CLIPPED_SHARE * self._all
            self._loud = self._all = 0
