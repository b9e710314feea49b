"""Finds the scale in a sound: whose low A, at which octave, in which tuning. Nothing is known before but the trade."""

from __future__ import annotations

import enum
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from companion.hearing.background import background
from companion.hearing.intake.runs import runs_of
from companion.hearing.intake.traits import DRONE, NO_NOTE, TraitCombs
from companion.hearing.spectra import Floats, FrameGrid, lobe, power_spectra
from fingering.notes import TUNINGS, Note, Tuning

PIPE_LOW_A_HZ = (395.0, 540.0)
"""Where the low A of a pipe chanter is looked for; a practice chanter's is an octave below. Low A was 441 Hz in 1885
and is 470 to 480 Hz today (Macpherson 1998, pipescale.html); the rest is room for what is out of tune."""

USUAL_LOW_A_HZ, SELDOM_LOW_A_HZ = (425.0, 490.0), (415.0, 500.0)
UNUSUAL, SELDOM = 0.015, 0.02
"""The ranges in which low A mostly and seldom lies, and how much better a scale must fit whose low A lies beyond the
first, or both. One note and a gracenote fit nearly as well a note higher or lower: by 0.013 more at most, on trial,
than in the right place. A take of all notes fits by 0.03 more there than anywhere else."""

GRID_CENTS = 10.0
NOTE_STRAY_STEPS = 3
"""How finely pitches are looked for, and how many steps each note may stray from its tuning."""

WINDOW_S, HOP_S = 0.045, 0.010
HARMONICS = 12
FLOORS = 4.0
"""Harmonics of a comb, and how far above the background, as power, what counts begins: drones beat with a chanter."""

DRONE_HARMONICS, DRONES_RISE = 9, 0.8
"""Drones sound where the background stands higher by 7 dB at most of a tenor's first nine harmonics. A bass drone's
even harmonics are those, and its odd ones lie as far from what is looked at between."""

ANY_PITCH_HZ, ANY_STEP_CENTS, NEAR_CENTS = (160.0, 1280.0), 20.0, 50.0
"""Where any pitch is looked for, in which steps, and how near to one of the nine notes it is that note."""

LASTS_FRAMES = 8
"""A note that is the likeliest for 80 ms on end is taken for one, to learn from at first."""

OCTAVES = ((Note.LOW_G, Note.HIGH_G), (Note.LOW_A, Note.HIGH_A))
ODD_RANKS, BESIDE_RANK, ENOUGH_ODD = (1, 3, 5), 0.4, 2
STANDS_OUT, OVER_FLOOR = 4.0, 8.0
"""Of two notes an octave apart the lower alone has odd partials. It sounds where two of the first three stand above
what lies beside them, and above the background, by so much, as power. On trial, of an oboe's low G in a room, whose
second partial is 20 dB above the first, and which looked like high G in 0.4 of its frames, 0.76 were so, of high notes
of four sources in rooms and talk 0.05 at most."""

RIVAL_STEPS = 8
"""A low A so many steps of the grid away is another: no note of the scale is tuned as far off."""

PIPE_BEFORE_PRACTICE = 0.08
"""What the octave of a pipe chanter is preferred by: drones an octave below it make it look like a practice chanter (by
up to 0.04 on trial), a practice chanter looks never like a pipe chanter (by 0.15 less at least)."""


SURE_BY = 0.015
"""By how much better than with any other low A a scale must fit to be sure: see `ScaleFit.rival`."""


class Bore(enum.Enum):
    """What sort of chanter sounds: PRACTICE, a cylinder with mostly odd harmonics; PIPE, a cone with all of them."""

    PRACTICE = 0.5
    PIPE = 1.0

    @property
    def low_a_hz(self) -> tuple[float, float]:
        """Where its low A is looked for."""
        return PIPE_LOW_A_HZ[0] * self.value, PIPE_LOW_A_HZ[1] * self.value


@dataclass(frozen=True, slots=True)
class ScaleFit:
    """The scale that fits a sound best. notes_hz: the nine notes, low G first. fit: mean likeness of the loud frames to
    the best note of it, 0 to 1. heard: of each note the share of the loud frames."""

    bore: Bore
    tuning: Tuning
    low_a_hz: float
    notes_hz: tuple[float, ...]
    heard: tuple[float, ...]
    fit: float
    drones: bool = False
    rival: float = 0.0

    @property
    def is_sure(self) -> bool:
        """Whether no other low A fits nearly as well."""
        return self.fit - self.rival >= SURE_BY


@dataclass(frozen=True, slots=True, eq=False)
class ScaleSpectra:
    """Stretches of one sound as a scale is looked for in them. powers: of each its frames, shape (frames, bins). floor:
    the power by bin of what sounds all the time."""

    grid: FrameGrid
    powers: tuple[Floats, ...]
    floor: Floats


def scale_spectra(pieces: Sequence[Floats], rate_hz: float) -> ScaleSpectra | None:
    """The spectra of these stretches of one thinned sound; None where they are shorter than a window."""
    grid = trait_grid(rate_hz)
    powers = tuple(power_spectra(each, grid) for each in pieces)
    if not any(map(len, powers)):
        return None
    return ScaleSpectra(grid, powers, background(np.concatenate(powers), grid.hop_s))


def fit_scale(spectra: ScaleSpectra) -> ScaleFit | None:
    """The scale that fits a sound best; None where nothing stands above the background."""
    grid, floor, powers = spectra.grid, spectra.floor, np.concatenate(spectra.powers)
    shapes = np.sqrt(np.sqrt(np.maximum(powers - FLOORS * floor, 0.0)))
    loudness = np.linalg.norm(shapes, axis=1)
    loud = (loudness > 0.3 * np.quantile(loudness, 0.95)) & (loudness > 0.0)
    if not loud.any():
        return None
    shapes = shapes[loud] / loudness[loud, np.newaxis]
    practice, pipe = (_fit_bore(shapes, grid, bore) for bore in Bore)
    scale = pipe if pipe.fit + PIPE_BEFORE_PRACTICE > practice.fit else practice
    return with_drones_told(spectra, scale)


def with_drones_told(spectra: ScaleSpectra, scale: ScaleFit) -> ScaleFit:
    """The scale with whether drones sound in these spectra: whether the background stands higher at a tenor drone's
    harmonics than between them."""
    grid, floor = spectra.grid, spectra.floor
    tenor_hz = scale.low_a_hz * (0.5 if scale.bore is Bore.PIPE else 1.0)
    ranks = np.arange(1, DRONE_HARMONICS + 1)
    on, between = ranks * tenor_hz, (ranks + 0.25) * tenor_hz
    logs = np.log(floor)
    heights = np.interp(on, grid.bins_hz, logs) - np.interp(between, grid.bins_hz, logs)
    return replace(scale, drones=bool(np.median(heights) > DRONES_RISE))


def first_notes(spectra: ScaleSpectra, scale: ScaleFit) -> list[list[tuple[int, float, float]]]:
    """What may be heard of each piece by the scale alone: notes that last, as (rank, from s, to s)."""
    grid, floor = spectra.grid, spectra.floor
    of_notes = combs(scale.notes_hz, grid, scale.bore)
    told = []
    for power in spectra.powers:
        shapes = np.sqrt(np.sqrt(np.maximum(power - FLOORS * floor, 0.0)))
        loudness = np.linalg.norm(shapes, axis=1)
        which = np.where(loudness > 0.0, (shapes @ of_notes.T).argmax(axis=1), -1)
        for low, high in OCTAVES:
            which[(which == high) & _has_odd_partials(power, floor, grid, scale.notes_hz[low])] = low
        told.append(
            [
                (int(which[first]), grid.centre_s(first), grid.centre_s(stop - 1))
                for first, stop in runs_of(which)
                if stop - first >= LASTS_FRAMES and which[first] >= 0
            ]
        )
    return told


def _has_odd_partials(powers: Floats, floor: Floats, grid: FrameGrid, low_hz: float) -> NDArray[np.bool_]:
    """Of each frame, whether it has partials of this note that the one an octave above it has not."""
    bins_hz = grid.bins_hz

    def bin_at(rank: float) -> int:
        return int(np.abs(bins_hz - rank * low_hz).argmin())

    def seen(rank: float) -> Floats:
        at = bin_at(rank)
        return np.asarray(powers[:, max(0, at - 1) : at + 2].max(axis=1), np.float32)

    count = np.zeros(len(powers), np.intp)
    for rank in ODD_RANKS:
        beside = np.maximum(seen(rank - BESIDE_RANK), seen(rank + BESIDE_RANK))
        count += (seen(rank) > STANDS_OUT * beside) & (seen(rank) > OVER_FLOOR * floor[bin_at(rank)])
    return np.asarray(count >= ENOUGH_ODD)


def trait_combs(scale: ScaleFit, grid: FrameGrid, ground: Floats) -> TraitCombs:
    """What pitches look like beside this scale, whether they are in it or not. ground: the power by bin of
    what sounds all the time, through `trait_grid`."""
    low_hz, high_hz = ANY_PITCH_HZ
    count = int(np.ceil(1200.0 * np.log2(high_hz / low_hz) / ANY_STEP_CENTS))
    hz = low_hz * 2.0 ** (np.arange(count) * ANY_STEP_CENTS / 1200.0)
    away = np.abs(1200.0 * np.log2(hz[:, np.newaxis] / np.array(scale.notes_hz)))
    drones = np.abs(1200.0 * np.log2(hz[:, np.newaxis] / (scale.low_a_hz * np.array([0.5, 0.25]))))
    notes = np.where(away.min(axis=1) <= NEAR_CENTS, away.argmin(axis=1), NO_NOTE)
    if scale.drones:
        notes = np.where(drones.min(axis=1) <= NEAR_CENTS, DRONE, notes)
    other = Bore.PIPE if scale.bore is Bore.PRACTICE else Bore.PRACTICE
    of_bore, of_other = (_combs_between(low_hz, ANY_STEP_CENTS, count, grid, bore) for bore in (scale.bore, other))
    floor = FLOORS * ground
    octaves = _octaves(notes >= 0, round(1200.0 / ANY_STEP_CENTS))
    return TraitCombs(of_bore, of_other, notes.astype(np.int8), octaves, floor.astype(np.float32), grid.hop_s)


def _octaves(named: NDArray[np.bool_], step: int) -> NDArray[np.intp]:
    """Of each pitch itself, or of one that is not named the one an octave above or else below that is."""
    own = np.arange(len(named))
    above, below = np.minimum(own + step, len(named) - 1), np.maximum(own - step, 0)
    return np.where(named, own, np.where(named[above], above, np.where(named[below], below, own)))


def trait_grid(rate_hz: float) -> FrameGrid:
    """Through which windows a scale, and what is like it or not, is looked at."""
    return FrameGrid.of(rate_hz, WINDOW_S, HOP_S)


def _fit_bore(shapes: Floats, grid: FrameGrid, bore: Bore) -> ScaleFit:
    low_hz, high_hz = bore.low_a_hz
    first_hz = low_hz * 2.0 ** (-300.0 / 1200.0)
    steps = int(1200.0 / GRID_CENTS * np.log2(high_hz * 2.2 / first_hz)) + 1
    pitches_hz = first_hz * 2.0 ** (np.arange(steps) * GRID_CENTS / 1200.0)
    likeness = shapes @ _combs_between(first_hz, GRID_CENTS, steps, grid, bore).T
    best: ScaleFit | None = None
    best_score = -np.inf
    fits = np.zeros(steps)
    handicaps = _handicaps(pitches_hz / bore.value)
    lows = _low_as(pitches_hz, bore)
    stray = NOTE_STRAY_STEPS
    padded = np.pad(likeness, ((0, 0), (stray, stray)), mode="edge")
    pooled = likeness.copy()
    for at in range(2 * stray + 1):
        np.maximum(pooled, padded[:, at : at + steps], out=pooled)
    of_pitches = np.ascontiguousarray((0.5 * (likeness + pooled)).T)
    for tuning in TUNINGS:
        away = np.array([round(tuning.cents(note) / GRID_CENTS) for note in Note])
        for low in lows:
            at = np.clip(low + away, 0, steps - 1)
            likeliest = of_pitches[at[0]].copy()
            for pitch in at[1:]:
                np.maximum(likeliest, of_pitches[pitch], out=likeliest)
            fit = float(likeliest.mean())
            fits[low] = max(fits[low], fit)
            if fit - handicaps[low] > best_score:
                best_score = fit - handicaps[low]
                heard = np.bincount(of_pitches[at].argmax(axis=0), minlength=len(Note)) / of_pitches.shape[1]
                notes_hz = pitches_hz[low] * np.array([tuning.ratio(note) for note in Note])
                best = ScaleFit(
                    bore, tuning, float(pitches_hz[low]), tuple(notes_hz.tolist()), tuple(heard.tolist()), fit
                )
    assert best is not None
    away = np.abs(np.arange(steps) - round(1200.0 / GRID_CENTS * np.log2(best.low_a_hz / first_hz)))
    rivals = (away >= RIVAL_STEPS) & (handicaps < SELDOM)
    return replace(best, rival=float(fits[rivals].max(initial=0.0)))


def _low_as(pitches_hz: NDArray[np.float64], bore: Bore) -> NDArray[np.intp]:
    """The ranks of the pitches that may be low A: where it seldom lies every other one, for speed."""
    ranks = np.arange(len(pitches_hz))
    low_hz, high_hz = bore.low_a_hz
    seldom = _handicaps(pitches_hz / bore.value) >= SELDOM
    return np.flatnonzero((pitches_hz >= low_hz) & (pitches_hz <= high_hz) & (~seldom | (ranks % 2 == 0)))


def _handicaps(pipe_hz: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return how much better than another a scale must fit with such a low A, told as a pipe chanter's."""
    usual, seldom = (
        (low_hz <= pipe_hz) & (pipe_hz <= high_hz) for low_hz, high_hz in (USUAL_LOW_A_HZ, SELDOM_LOW_A_HZ)
    )
    return np.where(usual, 0.0, np.where(seldom, UNUSUAL, SELDOM))


@lru_cache(maxsize=8)
def _combs_between(first_hz: float, step_cents: float, count: int, grid: FrameGrid, bore: Bore) -> Floats:
    """Combs of so many pitches, each higher than the one before by so many cents: the same for every sound."""
    return combs(np.asarray(first_hz * 2.0 ** (np.arange(count) * step_cents / 1200.0), np.float64), grid, bore)


def combs(hz: Sequence[float] | NDArray[np.float64], grid: FrameGrid, bore: Bore) -> Floats:
    """Return how notes of these pitches should look in the fourth root of power: unit vectors, shape (pitches,
    bins)."""
    pitches_hz = np.asarray(hz, np.float64)[:, np.newaxis]
    power = np.zeros((len(pitches_hz), len(grid.bins_hz)), np.float32)
    for rank in range(1, HARMONICS + 1):
        softer = 0.05 if bore is Bore.PRACTICE and rank % 2 == 0 else 1.0
        power += np.float32(softer / rank**1.5) * lobe(grid.bins_hz - (rank * pitches_hz).astype(np.float32), grid)
    shapes = np.sqrt(np.sqrt(power))
    return np.asarray(shapes / np.linalg.norm(shapes, axis=1, keepdims=True), np.float32)


def comb(hz: float, grid: FrameGrid, bore: Bore) -> Floats:
    """Return how a note of one pitch should look: a unit vector over the bins."""
    return np.asarray(combs((hz,), grid, bore)[0], np.float32)
