"""How unlikely each moment of a sound is, were it this pitch or none: costs for a search. Pure functions of spectra."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from companion.hearing.spectra import Floats
from companion.hearing.voice import DECIBELS, Templates

NOISE_VARIANCE_DB = 31.0
"""The variance of the power of noise in one bin, in dB squared: 5.57 dB (an exponential variable's logarithm)."""

NOISE_MEAN_DB = -2.5
"""The mean of that logarithm, under the logarithm of the mean (Euler's constant, 0.577 times 4.34 dB)."""

UPWARD = 0.5
"""The share of that variance which counts upward in a room: power seldom stands far above its mean, and often far below
(one in forty frames by 8 dB above the logarithm's mean, by 13 dB below). Elsewhere what rises may be other sound."""

ECHO_VARIANCE_DB = 20.0
"""The variance of an echo about what was foretold of it out of the same bin 20 to 120 ms before, in dB squared."""

FREEDOM = 4.0
"""Degrees of freedom of Student's t, by which what a model does not know of costs no more than it must."""

GAIN_RANGE_DB = (-9.0, 6.0)

LEVEL_SEEN_NATS = (np.float32(-15.0 / DECIBELS), np.float32(10.0 / DECIBELS))
"""What is further off than this (-15 and 10 dB) says that it is another pitch, and nothing of the level."""

GAIN_SPREAD_DB = 2.5
"""How far a note's level may stray: a chanter cannot be blown louder by much, but a room makes notes louder and softer
as they begin and end."""

TEMPER = 0.2
"""What a frame's evidence counts: neighbouring bins and frames overlap, four frames to a window's effective length and
two bins to a lobe, so that each is told up to eight times; set by trial between 0.12 and 0.3."""

GAIN_TEMPER = 1.0
"""What a frame's level counts. Frames overlap here too, but in a room little else tells notes apart."""

LOUD_SILENCE_DB = 8.0
LOUD_SILENCE_COST = 0.6
"""Where a room echoes, a note that goes on looks much like its own echo: what is not this far below the softest note is
no silence, which costs that much for each dB."""

OWN_ECHO = 4.0
"""Where a pitch stands so far above the ground, half of an echo there is its own."""

CHUNK_FRAMES = 96

ALL = slice(None)
"""All pitches, for what may be asked about some."""


class Workspace:
    """Arrays that hold what a computation is at, again and again: to ask the system for new ones takes as long as to
    fill them."""

    def __init__(self) -> None:
        self._held: list[Floats] = []

    def array(self, rank: int, shape: tuple[int, ...]) -> Floats:
        """Array number `rank`, from 0, in a shape; what it holds is whatever was left in it."""
        size = math.prod(shape)
        while len(self._held) <= rank:
            self._held.append(np.empty(0, np.float32))
        if len(self._held[rank]) < size:
            self._held[rank] = np.empty(size, np.float32)
        return self._held[rank][:size].reshape(shape)


@dataclass(frozen=True, slots=True, eq=False)
class Costs:
    """How unlikely each frame is, in tempered nats. by_pitch: shape (frames, pitches); by_none: shape (frames,)."""

    by_pitch: Floats
    by_none: Floats

    @property
    def together(self) -> Floats:
        """All of them, silence last: shape (frames, pitches and silence)."""
        return np.concatenate((self.by_pitch, self.by_none[:, np.newaxis]), axis=1)


def costs_of(powers: Floats, ground: Floats, templates: Templates, own_db: float) -> Costs:
    """The costs of frames where no room echoes.

    powers: shape (frames, bins). ground: what sounds beside, shape (bins,) for what sounds all the time, else (frames,
    bins). own_db: by how much a bin strays from its template for no reason that is known, as a standard deviation.
    """
    by_pitch = np.empty((len(powers), len(templates.powers)), np.float32)
    work = Workspace()
    for part in chunks(len(powers)):
        steady = of_frames(ground, part)[:, np.newaxis]
        by_pitch[part] = pitch_costs(powers[part], templates, own_db, steady, steady, work)
    return Costs(by_pitch, noise_costs(powers, ground))


def chunks(frames: int) -> Iterator[slice]:
    """Parts of so many frames that fit into a processor's nearest memory."""
    for first in range(0, frames, CHUNK_FRAMES):
        yield slice(first, min(frames, first + CHUNK_FRAMES))


def of_frames(ground: Floats, part: slice | NDArray[np.intp]) -> Floats:
    """The ground of some frames, which may be one for all: shape (1 or frames, bins)."""
    return ground[np.newaxis] if ground.ndim == 1 else ground[part]


def of_each(rows: Floats, pitches: NDArray[np.intp] | slice) -> Floats:
    """Rows by pitch and bin as all frames are held against them: shape (pitches, bins); or where each frame is held
    against a pitch of its own: (frames, 1, bins)."""
    return rows if isinstance(pitches, slice) else rows[pitches][:, np.newaxis]


def not_its_own(templates: Templates, ground: Floats) -> Floats:
    """The share of an echo in each bin that is not a pitch's own, whose template holds that already: shape (pitches,
    bins), a half where the pitch stands OWN_ECHO times above the ground."""
    least = ground if ground.ndim == 1 else ground.min(axis=0)
    return np.asarray(np.float32(1.0) / (np.float32(1.0) + templates.powers / (np.float32(OWN_ECHO) * least)))


def pitch_costs(
    powers: Floats,
    templates: Templates,
    own_db: float,
    steady: Floats,
    besides: Floats,
    work: Workspace,
    pitches: NDArray[np.intp] | slice = ALL,
    *,
    in_room: bool = False,
) -> Floats:
    """The cost of frames as each pitch, at whatever level it costs least: shape (frames, pitches); or of each frame as
    a pitch of its own: shape (frames, 1).

    powers: shape (frames, bins). steady: the ground. besides: what is expected beside the pitch, ground and echo, which
    strays as they do. These two have shapes that fit (frames, pitches, bins). pitches: all, or the one of each frame.

    Nearly all of the time that hearing takes is spent here: so each step is written over what is asked for no more, and
    as few arrays as may be are gone through.
    """
    seen = np.log(np.maximum(powers, np.float32(0.1) * steady[:, 0]))[:, np.newaxis]
    gain = _level_db(seen, templates, besides, work, pitches)
    away = work.array(0, (*gain.shape, powers.shape[1]))
    np.multiply(of_each(templates.powers, pitches), np.exp(gain / np.float32(DECIBELS))[:, :, np.newaxis], out=away)
    variance = variances(seen, away, steady, besides, work, in_room=in_room)
    variance += np.float32(FREEDOM) * (np.float32(own_db**2) + of_each(templates.pitch_variance, pitches))
    return np.asarray(student_cost(away, variance) + level_cost(gain), np.float32)


def variances(
    seen: Floats, own: Floats, steady: Floats, besides: Floats, work: Workspace, *, in_room: bool = False
) -> Floats:
    """FREEDOM times the variance of each bin for what stands beside a pitch; by how many dB what is seen lies above
    what is expected is written over `own`.

    seen: as logarithms. own: the power of the pitch at its level. The others as for `pitch_costs`.
    """
    scale = np.float32(DECIBELS)
    # Of what is expected 1 / (1 + 0.8 pitch / besides) is quiet: that share strays as noise and echoes do.
    loud = np.multiply(own, np.float32(0.8), out=work.array(1, own.shape))
    loud += besides
    own += besides
    np.subtract(seen, np.log(own, out=own), out=own)
    own *= scale
    return _noise_variance(own, loud, steady, besides, work) if in_room else _ground_variance(own, loud, steady)


def level_cost(gain_db: Floats) -> Floats:
    """The cost of a level so far from that of a pitch's template."""
    return np.asarray(np.float32(GAIN_TEMPER * 0.5 / GAIN_SPREAD_DB**2) * gain_db * gain_db, np.float32)


def _ground_variance(away: Floats, loud: Floats, steady: Floats) -> Floats:
    """FREEDOM times the variance of what is no pitch, where that is the ground alone, written over `loud`; what is seen
    is moved to the mean of its logarithm."""
    low: Floats = np.divide(np.float32(-NOISE_MEAN_DB) * steady, loud, out=loud)
    away += low
    low *= np.float32(FREEDOM * NOISE_VARIANCE_DB / -NOISE_MEAN_DB)
    return low


def _noise_variance(away: Floats, loud: Floats, steady: Floats, besides: Floats, work: Workspace) -> Floats:
    """As `_ground_variance`, in a room, where echoes stray less than the ground and more downward than upward."""
    quiet = np.divide(np.float32(1.0), loud, out=loud)
    away += np.multiply(np.float32(-NOISE_MEAN_DB) * steady, quiet, out=work.array(2, quiet.shape))
    strays = np.multiply(besides, np.float32(FREEDOM * ECHO_VARIANCE_DB), out=work.array(2, besides.shape))
    strays += np.float32(FREEDOM * (NOISE_VARIANCE_DB - ECHO_VARIANCE_DB)) * steady
    quiet *= strays
    quiet *= _upward(away, work.array(2, quiet.shape))
    return quiet


def _upward(away_db: Floats, out: Floats) -> Floats:
    """The share of the variance that counts: all of it downward."""
    np.multiply(away_db, np.float32(-1e6), out=out)  # which is out of range but within a millionth of a dB
    return np.clip(out, np.float32(UPWARD), np.float32(1.0), out=out)


def _level_db(
    seen: Floats, templates: Templates, besides: Floats, work: Workspace, pitches: NDArray[np.intp] | slice
) -> Floats:
    """A first guess of the level of each pitch, in dB above its template's: where a template stands above the ground,
    by how much what is seen, as logarithms, differs from it. Shape (frames, pitches)."""
    is_one = len(besides) == 1  # what sounds beside the pitches is, for all frames
    own, variance = (
        each if is_one else of_each(each, pitches) for each in (templates.powers, templates.pitch_variance)
    )
    shape = np.broadcast_shapes(own.shape, besides.shape)
    weight = level_weights(own, variance, besides, work.array(0, shape))
    away = np.add(own, besides, out=work.array(1, shape))
    np.log(away, out=away)
    if is_one:
        weight, away = of_each(weight[0], pitches), of_each(away[0], pitches)
    shape = np.broadcast_shapes(seen.shape, away.shape)
    away = np.subtract(seen, away, out=work.array(2 if is_one else 1, shape))
    scale = np.float32(DECIBELS)
    np.clip(away, *LEVEL_SEEN_NATS, out=away)
    sums = np.einsum("fpb,fpb->fp", away, weight if weight.ndim > 2 else np.broadcast_to(weight, away.shape))
    lowest, highest = GAIN_RANGE_DB
    level = scale * sums / (over_bins(weight) + np.float32(1e-3))
    return np.asarray(np.clip(level, np.float32(lowest), np.float32(highest)), np.float32)


def level_weights(own: Floats, variance: Floats, besides: Floats, out: Floats) -> Floats:
    """How much each bin tells of a pitch's level. variance: that of its template."""
    np.add(own, np.float32(4.0) * besides, out=out)
    np.divide(own / np.sqrt(np.float32(9.0) + variance), out, out=out)
    out *= out
    return out


def noise_costs(powers: Floats, ground: Floats, echo: Floats | None = None) -> Floats:
    """The cost of frames as nothing but the ground and an echo: shape (frames,).

    ground: shape (bins,), (1, bins) or (frames, bins).
    """
    scale = np.float32(DECIBELS)
    away = np.maximum(powers, np.float32(0.1) * ground)
    np.log(away, out=away)
    away *= scale
    if echo is None:
        away -= scale * np.log(ground) + np.float32(NOISE_MEAN_DB)
        return student_cost(away, np.full(away.shape[-1], FREEDOM * NOISE_VARIANCE_DB, np.float32))
    silent = ground + echo
    noise = ground / silent
    away -= np.multiply(np.log(silent, out=silent), scale, out=silent)
    away -= np.multiply(noise, np.float32(NOISE_MEAN_DB), out=silent)
    noise *= np.float32(FREEDOM * (NOISE_VARIANCE_DB - ECHO_VARIANCE_DB))
    noise += np.float32(FREEDOM * ECHO_VARIANCE_DB)
    noise *= _upward(away, silent)
    return student_cost(away, noise)


def silence_costs(powers: Floats, ground: Floats, echo: Floats, softest: np.float32, loud_cost: float) -> Floats:
    """As `noise_costs`, in a room, where what is loud is no silence, for `loud_cost` nats a dB. softest: the power of
    the softest note."""
    level_db = np.float32(DECIBELS) * np.log(np.maximum((powers - ground).sum(axis=1), 1e-9) / softest)
    loud = np.maximum(level_db + np.float32(LOUD_SILENCE_DB), 0.0)
    return np.asarray(noise_costs(powers, ground, echo) + np.float32(loud_cost) * loud, np.float32)


def student_cost(away_db: Floats, variance: Floats) -> Floats:
    """The negative logarithm of Student's t, summed over bins (the last axis) and tempered.

    variance: FREEDOM times that of each bin, shape (bins,) or as away_db. Both arrays are used up.
    """
    strayed = np.square(away_db, out=away_db)
    strayed += variance
    # (freedom + 1) / 2 times the logarithm of 1 + away^2 / (freedom variance), and half of the variance's.
    strayed_logs = over_bins(np.log(strayed, out=strayed))
    return cost_of_logs(strayed_logs, over_bins(np.log(variance, out=variance)), away_db.shape[-1])


def cost_of_logs(strayed: Floats, variance: Floats, bins: int) -> Floats:
    """As `student_cost`, by the sums over so many bins of the logarithms of FREEDOM times the variance and what was
    strayed squared, and of the first alone."""
    one_bin = np.float32(0.5 * np.log(FREEDOM) * bins)
    half = np.float32(0.5)
    return np.asarray(
        np.float32(TEMPER) * (half * (np.float32(FREEDOM + 1.0) * strayed - np.float32(FREEDOM) * variance) - one_bin)
    )


def over_bins(values: Floats) -> Floats:
    """The sums over the last axis, as a product with ones, which is faster."""
    return np.asarray(values @ _ones(values.shape[-1]))


@lru_cache(maxsize=4)
def _ones(count: int) -> Floats:
    return np.ones(count, np.float32)
