"""Measures at what pitch a short note sounds that may be F or a high G: these lie less than a semitone apart. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from companion.hearing.learnt import Learnt
from companion.hearing.notes.kept_samples import KeptSamples
from companion.hearing.notes.runs.near_levels import NEAR_NOTES
from companion.hearing.notes.runs.near_runs import NearRun, RunMeter
from companion.hearing.path import NO_PITCH, HeardStretch
from companion.hearing.spectra import HIGHEST_SHARE, Floats, hann
from fingering.notes import Note

LONGEST_S = 0.2
"""A longer note is surely named by its spectrum."""

INNER_SHARE = 0.6
"""The middle of a note, in which it is measured."""

LATE_LEAST_S, LATE_FRAMES = 0.075, (16, 8)
"""A note that lasts as long is measured near its end too, 40 to 20 ms before it: in a room a gracenote's echo may
go on in the note that follows."""

LOWEST_CENTS, HIGHEST_CENTS, STEP_CENTS = -60.0, 160.0, 5.0
"""Pitches that are looked for, from the F that was learnt: a high G lies 85 to 134 above it, strays of both apart."""

MOST_HARMONICS = 12

LOOKS, EDGE_FRAMES = 8, 8
"""How often a long note is looked at, and how far from its ends: often enough to see whether it wavers."""

HEAD_FRAMES = (4, 5, 6, 7)
"""Where the beginning of a note is looked at, 10 to 18 ms after it: there an echo of what sounded before no longer
moves the pitch of most (by 15 cents at most on nine in ten Fs, seeds 2411, 2422, 2431), and a gracenote that began
when the note did still sounds."""


@dataclass(frozen=True, slots=True)
class HeadPitch:
    """How far above the F that was learnt the beginning of an F sounds, look by look, in cents. first: its frame."""

    first: int
    cents: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class LongPitch:
    """How far above the F that was learnt a long note sounds, look by look, in cents, from frame `first` up to but not
    with `stop`."""

    note: Note
    first: int
    stop: int
    cents: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class ShortPitch:
    """How far above the F that was learnt a pitch sounds from frame `first` up to but not with `stop`, in cents.

    late_cents: near its end, None for what is short. looks: of each frame, in a room, NaN where it is not known.
    """

    first: int
    stop: int
    cents: float
    late_cents: float | None = None
    looks: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class MeasuredPitches:
    """Measurements of Fs and high Gs, in order of time. short, lasting: of short and long ones; heads: of how Fs
    begin, long or short, in a room; runs: how loud each is in a room, where nothing but these sounds."""

    short: Sequence[ShortPitch] = ()
    lasting: Sequence[LongPitch] = ()
    heads: Sequence[HeadPitch] = ()
    runs: Sequence[NearRun] = ()


class PitchMeter:
    """Measures notes once they are settled, in samples that come block by block. Memory is that of what is not."""

    def __init__(self, learnt: Learnt) -> None:
        self._grid = learnt.grid
        self._notes = [each.note for each in learnt.voice.pitches]
        self._cents = np.arange(LOWEST_CENTS, HIGHEST_CENTS + STEP_CENTS, STEP_CENTS)
        self._basis = self._waves(float(learnt.voice.hz[Note.F]))
        self._kept = KeptSamples(learnt.grid)
        self._short: list[ShortPitch] = []
        self._lasting: list[LongPitch] = []
        self._heads: list[HeadPitch] = []
        self._in_room = learnt.echo is not None
        self._runs = RunMeter(learnt, self._kept)

    @property
    def found(self) -> MeasuredPitches:
        """All that was measured so far."""
        return MeasuredPitches(self._short, self._lasting, self._heads, self._runs.found)

    def take_in(self, samples: Floats) -> None:
        """The next samples, thinned as for the grid."""
        self._kept.take_in(samples)

    def measure(self, settled: Iterable[HeardStretch]) -> Iterable[HeardStretch]:
        """Measure what of these is short enough, and yield all of them."""
        last = self._kept.gone
        for each in settled:
            last = each.stop
            is_near = each.pitch != NO_PITCH and self._notes[each.pitch] in NEAR_NOTES
            if is_near:
                if (each.stop - each.first) * self._grid.hop_s < LONGEST_S:
                    self._measure(each)
                elif each.pitch < len(Note):
                    self._look(each)
                if self._in_room and self._notes[each.pitch] is Note.F:
                    self._look_at_head(each)
            if is_near and self._in_room:
                self._runs.go_on(each)
            else:
                self._runs.end()
            yield each
        self._kept.drop_before(min(last, self._runs.needs_from(last)))

    def _measure(self, each: HeardStretch) -> None:
        middle, half = (each.first + each.stop - 1) / 2.0, 0.5 * INNER_SHARE * (each.stop - each.first)
        cents = self._likest(np.arange(round(middle - half), round(middle + half) + 1))
        if cents is None:
            return
        late = None
        if (each.stop - each.first) * self._grid.hop_s >= LATE_LEAST_S:
            begin, end = LATE_FRAMES
            late = self._likest(np.arange(each.stop - begin, each.stop - end))
        looks = self._pitches(np.arange(each.first, each.stop)) if self._in_room else np.zeros(0)
        self._short.append(ShortPitch(each.first, each.stop, cents, late, tuple(looks.tolist())))

    def _look(self, each: HeardStretch) -> None:
        frames = np.linspace(each.first + EDGE_FRAMES, each.stop - EDGE_FRAMES, LOOKS).round().astype(int)
        self._lasting.append(LongPitch(self._notes[each.pitch], each.first, each.stop, self._looks(frames)))

    def _look_at_head(self, each: HeardStretch) -> None:
        frames = each.first + np.array(HEAD_FRAMES)
        if frames[-1] < each.stop:
            self._heads.append(HeadPitch(each.first, self._looks(frames)))

    def _looks(self, frames: NDArray[np.intp]) -> tuple[float, ...]:
        cents = self._pitches(frames)
        return tuple(cents[~np.isnan(cents)].tolist())

    def _likest(self, frames: NDArray[np.intp]) -> float | None:
        """The pitch whose harmonics hold the most power in some frames; None where that is at the edge of what is
        looked at, or there are no samples of them."""
        powers = self._powers(frames)
        cents = self._peaks(powers.sum(axis=0, keepdims=True))[0]
        return None if len(powers) == 0 or np.isnan(cents) else float(cents)

    def _pitches(self, frames: NDArray[np.intp]) -> NDArray[np.float64]:
        """The pitch of each frame, likewise; NaN where there is none."""
        out = np.full(len(frames), np.nan)
        known = self._kept.hold(frames)
        out[known] = self._peaks(self._powers(frames[known]))
        return out

    def _powers(self, frames: NDArray[np.intp]) -> NDArray[np.float64]:
        """The power of each pitch in each frame of which there are samples: shape (frames, pitches)."""
        seen = self._kept.windows(frames)
        parts = seen @ self._basis
        half = parts.shape[1] // 2
        powers = np.square(parts[:, :half]) + np.square(parts[:, half:])
        by_pitch = powers.reshape(len(seen), len(self._cents), half // len(self._cents))
        return np.asarray(by_pitch.sum(axis=2, dtype=np.float64))

    def _peaks(self, powers: NDArray[np.float64]) -> NDArray[np.float64]:
        """The pitch with the most power in each row, in cents; NaN where that is the first or last of them."""
        best = powers.argmax(axis=1)
        inner = np.flatnonzero((best > 0) & (best < powers.shape[1] - 1))
        around = powers[inner[:, np.newaxis], best[inner, np.newaxis] + np.arange(-1, 2)]
        before, here, after = np.log(np.maximum(around, 1e-30)).T
        bent = before - 2.0 * here + after
        away = np.divide(STEP_CENTS * 0.5 * (before - after), bent, out=np.zeros_like(bent), where=bent < 0.0)
        out = np.full(len(powers), np.nan)
        out[inner] = self._cents[best[inner]] + away
        return out

    def _waves(self, f_hz: float) -> Floats:
        """The waves that a window's samples are multiplied with, by pitch and harmonic: cosines, then sines."""
        ranks = np.arange(1, MOST_HARMONICS + 1)
        highest_hz = f_hz * 2.0 ** (HIGHEST_CENTS / 1200.0)
        ranks = ranks[ranks * highest_hz < HIGHEST_SHARE * self._grid.rate_hz]
        hz: NDArray[np.float64] = (f_hz * 2.0 ** (self._cents / 1200.0))[:, np.newaxis] * ranks
        at_s = np.arange(self._grid.window) / self._grid.rate_hz
        turns = 2.0 * np.pi * at_s[:, np.newaxis] * hz.ravel()
        window = hann(self._grid.window)[:, np.newaxis]
        return np.asarray(window * np.concatenate((np.cos(turns), np.sin(turns)), axis=1), np.float32)
