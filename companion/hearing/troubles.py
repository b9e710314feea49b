"""What is no chanter, and what makes one hard to hear: refusals and warnings, each with what to do."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from companion.hearing.heard import HeardNote, SoundTrouble
from companion.hearing.learning import Learnt
from fingering.errors import UserError

CLIPPED_SHARE = 0.002
CLIPPED_NEAR = 0.999
"""A recording is clipped where so many of its samples stand at its greatest one."""

SILENT_PEAK = 1e-4
"""A greatest sample of -80 dB: nothing was recorded."""

LEAST_FIT, DOUBTFUL_FIT = 0.50, 0.54
MOST_UNLIKE, DOUBTFUL_UNLIKE = 0.25, 0.20
"""A sound that fits no scale better than this is no chanter's, nor one of which so much is unlike the notes told: on
trial chanters fit by 0.55 and more, with 0.2 unlike at most; noise fits by 0.25, speech by 0.4 to 0.5, a piano and
strings by 0.48 to 0.59 with 0.2 to 0.4 unlike."""

NOISY_DB = -9.0
CROWDED_SHARE = 0.20
ECHOING_S = 1.2


class LevelMeter:
    """Measures the level of a sound as it goes by."""

    def __init__(self) -> None:
        self.frames = 0
        self.peak = 0.0
        self._at_peak = 0

    def measure(self, block: NDArray[np.float32]) -> None:
        """Take in the next samples."""
        self.frames += len(block)
        if not block.size:
            return
        level = np.abs(block if block.ndim == 1 else block[:, 0])
        peak = float(np.nanmax(level, initial=0.0))
        if peak > self.peak * 1.001:
            self.peak, self._at_peak = peak, 0
        self._at_peak += int((level >= CLIPPED_NEAR * self.peak).sum())

    @property
    def clipped(self) -> bool:
        """Whether the greatest sample comes so often that it must be the greatest that there could be."""
        return self._at_peak > CLIPPED_SHARE * max(1, self.frames)


def refuse_what_is_no_chanter(meter: LevelMeter, learnt: Learnt | None) -> Learnt:
    """What was learnt, if it is of a chanter. Raises UserError for silence, and for any other sound."""
    if meter.frames == 0:
        raise UserError("this recording is empty", "record again, and see that the program shows a length")
    if meter.peak < SILENT_PEAK:
        raise UserError("nothing is to be heard in this recording", "choose the right microphone, and turn it up")
    if learnt is None or is_no_chanter(learnt):
        remedy = "record one chanter alone, close to the microphone"
        raise UserError("no chanter is to be heard in this recording", remedy)
    return learnt


def is_no_chanter(learnt: Learnt) -> bool:
    """Whether what was learnt is of any other sound."""
    fit, unlike = learnt.scale.fit, learnt.unlike_share
    return fit < LEAST_FIT or unlike > MOST_UNLIKE or (fit < DOUBTFUL_FIT and unlike > DOUBTFUL_UNLIKE)


def troubles_of(meter: LevelMeter, learnt: Learnt, notes: Sequence[HeardNote]) -> tuple[SoundTrouble, ...]:
    """What makes this sound hard to hear."""
    found = []
    if learnt.noise_db > NOISY_DB:
        found.append(SoundTrouble.NOISY)
    if meter.clipped:
        found.append(SoundTrouble.CLIPPED)
    if learnt.unlike_share > CROWDED_SHARE:
        found.append(SoundTrouble.CROWDED)
    if learnt.echo is not None and learnt.echo.rt60_s > ECHOING_S:
        found.append(SoundTrouble.ECHOING)
    return tuple(found)
