"""A chanter drawn by lot: its pitch, its nine notes, how it drifts, and how its colour strays from the voices' own."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fingering.acoustics.sounding import soundings
from fingering.chart import sounded
from fingering.holes import HoleState
from fingering.notes import TUNINGS, Note, Tuning
from tests.hearing.recording import generator

NOMINAL_LOW_A_HZ = (437.5, 476.0)
LOW_A_STRAY_CENTS = 50.0
"""A low A from 425 to 490 Hz, at the pitch of the pipe chanter, and what it strays from the one that was told."""

NOTE_STRAY_CENTS = 12.0
DRIFT_CENTS = 8.0
DRIFT_PERIOD_S = 60.0
FLUTTER_CENTS = 1.5
FLUTTER_STEP_S = 0.15
"""How far each note is off, how far all drift within a minute, and how the breath makes them flutter besides: common
practice, no source."""

HARMONIC_STRAY_DB = 3.0
NOTE_HARMONIC_STRAY_DB = 2.0
STRAYED_HARMONICS = 80
"""Standard deviations of each harmonic's level, of the whole chanter and of each note besides: no source."""

TRANSITION_S = (0.002, 0.006)
"""How long one note takes to become the next: what the trial asks for, no source."""


@dataclass(frozen=True, slots=True)
class TunedChanter:
    """One chanter.

    nominal_low_a_hz: what its player would tell the program, at the pitch that sounds. low_a_hz: what it truly sounds.
    strays_cents: of the nine notes, low A's being 0. octave: 1 at the pipe chanter's pitch, 0.5 an octave lower.
    """

    seed: int
    tuning: Tuning
    octave: float
    nominal_low_a_hz: float
    low_a_hz: float
    strays_cents: tuple[float, ...]
    drift_phase: float

    def hz(self, state: HoleState) -> float:
        """What a hole state sounds, undrifted: a foreign one strays as the note that it is named by."""
        stray = 2.0 ** (self.strays_cents[sounded(state)] / 1200.0)
        return float(self.low_a_hz * soundings(self.tuning)[state].ratio * stray)

    def note_hz(self, note: Note) -> float:
        """What a note sounds, undrifted."""
        return float(self.low_a_hz * self.tuning.ratio(note) * 2.0 ** (self.strays_cents[note] / 1200.0))

    @property
    def notes_hz(self) -> tuple[float, ...]:
        """What the nine notes sound, undrifted."""
        return tuple(self.note_hz(note) for note in Note)

    def slow_drift_cents(self, times_s: NDArray[np.float64] | float) -> NDArray[np.float64]:
        """How far all notes have slowly drifted at these times."""
        return np.asarray(DRIFT_CENTS * np.sin(2.0 * np.pi * np.asarray(times_s) / DRIFT_PERIOD_S + self.drift_phase))

    def drift_cents(self, times_s: NDArray[np.float64]) -> NDArray[np.float64]:
        """How far all notes have drifted at these times, which rise: slowly, and fluttering with the breath."""
        random = generator(self.seed, "flutter")
        slow = self.slow_drift_cents(times_s)
        if not times_s.size:
            return slow
        knots = int(times_s[-1] / FLUTTER_STEP_S) + 2
        flutter = np.interp(times_s, np.arange(knots) * FLUTTER_STEP_S, random.normal(0.0, FLUTTER_CENTS, knots))
        return slow + flutter

    def harmonic_gains(self, state: HoleState) -> NDArray[np.float64]:
        """How each harmonic strays in level when that state sounds: factors, the fundamental first."""
        of_all = generator(self.seed, "harmonics").normal(0.0, HARMONIC_STRAY_DB, STRAYED_HARMONICS)
        of_note = generator(self.seed, f"state {int(state)}").normal(0.0, NOTE_HARMONIC_STRAY_DB, STRAYED_HARMONICS)
        gains: NDArray[np.float64] = 10.0 ** ((of_all + of_note) / 20.0)
        return gains


def draw_chanter(seed: int, octave: float) -> TunedChanter:
    """A chanter drawn by lot. octave: 1 at the pipe chanter's pitch, 0.5 an octave lower."""
    random = generator(seed, "tuning")
    nominal_hz = octave * random.uniform(*NOMINAL_LOW_A_HZ)
    low_a_hz = nominal_hz * 2.0 ** (random.uniform(-LOW_A_STRAY_CENTS, LOW_A_STRAY_CENTS) / 1200.0)
    strays = random.uniform(-NOTE_STRAY_CENTS, NOTE_STRAY_CENTS, len(Note))
    strays[Note.LOW_A] = 0.0
    tuning = TUNINGS[int(random.integers(len(TUNINGS)))]
    phase = float(random.uniform(0.0, 2.0 * np.pi))
    return TunedChanter(seed, tuning, octave, float(nominal_hz), float(low_a_hz), tuple(strays.tolist()), phase)
