"""What one chanter sounds like in one recording: the pitches that it can sound, the spectrum of each, and templates
made of them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from companion.hearing.spectra import Floats, FrameGrid, lobe
from fingering.acoustics.sounding import soundings
from fingering.chart import chart
from fingering.holes import Finger
from fingering.notes import Note, Tuning

RANKS = 24
"""How many harmonics of a note are looked at."""

SPREAD_CENTS = 10.0
"""By how much a pitch strays from its mean within a note and from note to note: settling, drift and breath."""

BREATH_SHARE = 10.0**-4.5
"""Beside its harmonics a note fills each bin with this share of its power at least: breath, and windows' far lobes."""

MOST_PITCH_VARIANCE = 60.0
"""In dB squared: on the flank of a high harmonic's lobe a bin may stray as far as noise does, and half as far again."""

OFF_LINE_BINS = 2.0
OFF_LINE_SHARE = 1e-3
"""Further than so many bins from each of its harmonics a note is 30 dB below its loudest bin."""

DECIBELS = 10.0 / np.log(10.0)

APART_CENTS = 8.0
"""Fingerings of one note that lie nearer together are one pitch to the ear here: notes drift by as much in a minute."""


@dataclass(frozen=True, slots=True)
class AudiblePitch:
    """One pitch. note: which it is named by, from its topmost open hole. off_cents: how far above that note's own it
    lies, 0 for the fingering of the chart. veil: as `Sounding.veil`."""

    note: Note
    off_cents: float
    veil: float = 0.0

    @property
    def plain(self) -> bool:
        """Whether it is the note itself."""
        return self.off_cents == 0.0


@cache
def audible_pitches(tuning: Tuning) -> tuple[AudiblePitch, ...]:
    """The nine notes, low G first, then the false fingerings of gracenotes and strikes that lie apart from them.

    They are those with one finger lifted from a note's fingering or laid on: what crossings sound besides lies within
    a few cents of one of these. Raises UserError for a tuning that no chanter was computed for.
    """
    table = soundings(tuning)
    found = [AudiblePitch(note, 0.0) for note in Note]
    for note in Note:
        state = chart(note)
        moved = [state.lifting(each) if state.closed(each) else state.dropping(each) for each in Finger]
        for other in sorted(moved, key=lambda each: table[each].off_note_cents):
            sounding = table[other]
            near = (
                each.note is sounding.note and abs(each.off_cents - sounding.off_note_cents) < APART_CENTS
                for each in found
            )
            if not any(near):
                found.append(AudiblePitch(sounding.note, round(sounding.off_note_cents, 1), sounding.veil))
    return tuple(found)


@dataclass(frozen=True, slots=True, eq=False)
class LearntVoice:
    """The chanter of a recording. pitches: what it can sound, the nine notes first. hz: of each pitch. harmonics: the
    power of each, shape (pitches, ranks), the fundamental first. breath: of each pitch the power in every bin besides.
    seen, seen_variance: of each pitch the power by bin as it was seen, and how far it strayed, in dB squared, shape
    (pitches, bins); NaN for a pitch that was not heard for long enough."""

    pitches: tuple[AudiblePitch, ...]
    hz: NDArray[np.float64]
    harmonics: NDArray[np.float64]
    breath: NDArray[np.float64]
    seen: NDArray[np.float64]
    seen_variance: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Templates:
    """Mean power by bin of each pitch of a voice, and how far a bin strays because pitches do, as a variance in dB
    squared: both of shape (pitches, bins), float32."""

    powers: Floats
    pitch_variance: Floats


@lru_cache(maxsize=4)
def templates_of(voice: LearntVoice, grid: FrameGrid) -> Templates:
    """What is to be seen of each pitch of a voice through a grid's window. All that hears by a voice asks for it: so
    the last ones are kept."""
    low, mean, high = (_powers(voice, grid, cents) for cents in (-SPREAD_CENTS, 0.0, SPREAD_CENTS))
    powers = 0.25 * low + 0.5 * mean + 0.25 * high
    slope_db = 0.5 * DECIBELS * np.abs(np.log(high) - np.log(low))
    variance = np.minimum(slope_db**2, MOST_PITCH_VARIANCE)
    known = ~np.isnan(voice.seen)
    powers, variance = np.where(known, voice.seen, powers), np.where(known, voice.seen_variance, variance)
    return Templates(powers.astype(np.float32), variance.astype(np.float32))


def without_foreign_lines(powers: NDArray[np.float64], grid: FrameGrid, hz: float) -> NDArray[np.float64]:
    """A note's power by bin, as it was seen, without what stands between its harmonics, of this pitch: that is
    another's, as of an octave below or of notes that echo."""
    step_hz = grid.rate_hz / grid.window
    away = np.abs(grid.bins_hz[:, np.newaxis] - hz * np.arange(1, RANKS + 1)).min(axis=1) / step_hz
    return np.where(away > OFF_LINE_BINS, np.minimum(powers, OFF_LINE_SHARE * powers.max()), powers)


def _powers(voice: LearntVoice, grid: FrameGrid, cents: float) -> NDArray[np.float64]:
    ranks = np.arange(1, voice.harmonics.shape[1] + 1)
    hz = voice.hz[:, np.newaxis] * ranks * 2.0 ** (cents / 1200.0)
    lobes = lobe((grid.bins_hz - hz[:, :, np.newaxis]).astype(np.float32), grid)
    powers: NDArray[np.float64] = np.einsum("ph,phb->pb", voice.harmonics, lobes)
    return powers + voice.breath[:, np.newaxis]
