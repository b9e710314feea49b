"""What is no chanter, and what makes one hard to hear: refusals and warnings, each with what to do."""

from __future__ import annotations

from collections.abc import Sequence

from companion.hearing.heard import HeardNote, SoundTrouble
from companion.hearing.intake.level import LevelMeter
from companion.hearing.learning import Learnt
from fingering.errors import UserError

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


def refuse_what_is_no_chanter(meter: LevelMeter, learnt: Learnt | None) -> Learnt:
    """What was learnt, if it is of a chanter. Raises UserError for silence, and for any other sound."""
    if meter.frames == 0:
        raise UserError("this recording is empty", "record again, and see that the program shows a length")
    if meter.swing < SILENT_PEAK:
        raise UserError("nothing is to be heard in this recording", "choose the right microphone, and turn it up")
    if learnt is None or _is_no_chanter(learnt):
        remedy = "record one chanter alone, close to the microphone"
        raise UserError("no chanter is to be heard in this recording", remedy)
    return learnt


def _is_no_chanter(learnt: Learnt) -> bool:
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
