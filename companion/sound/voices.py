"""The voices as samples with a greatest value of 1: two chanters, three drones and a metronome."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from companion.schedule.bars import Accent
from companion.sound.pitch import PitchTable, pitch_table
from companion.sound.settings import SAMPLE_RATE_HZ, SoundSettings, Voice
from companion.sound.tone import Loop, Timbre, make_loop, place_harmonics, with_peak
from fingering.chart import sounded
from fingering.holes import HoleState


@dataclass(frozen=True, slots=True)
class ChanterVoice:
    """A chanter: its colour, its low A over that of the pipe chanter, and the gain of its nine notes, low G first."""

    timbre: Timbre
    octave: float
    balance: tuple[float, ...]


# The practice chanter is a narrow closed cylinder: weak even harmonics, an octave lower (from memory). High A is loud
# on it and the quietest note of the full pipe (common practice); the pipe's higher notes are quieter than its low ones
# (Carruthers, bagpipe.news, 16 July 2020).
CHANTERS = {
    Voice.PRACTICE: ChanterVoice(
        Timbre(slope=0.8, even=0.12, knee_hz=1_800.0), 0.5, (0.80, 0.80, 0.82, 0.84, 0.86, 0.88, 0.90, 0.94, 1.00)
    ),
    Voice.PIPE: ChanterVoice(
        Timbre(slope=0.2, even=1.0, knee_hz=2_600.0), 1.0, (1.00, 0.97, 0.93, 0.89, 0.84, 0.79, 0.72, 0.65, 0.52)
    ),
}

# A tenor drone that players like has a strong fundamental and less upper energy (abstract of HAL hal-01341956).
TENOR = Timbre(slope=1.0, even=0.8, knee_hz=1_500.0)
BASS = Timbre(slope=0.6, even=0.9, knee_hz=1_200.0)
# The bass and two tenors as heard at the left and at the right: a little apart, as they lie on the shoulder.
PLACES = np.array([[0.45, 0.45], [0.36, 0.22], [0.22, 0.36]])

DRONE_LOOP_S = 8.0
# The tenors stand one cycle of the drones' loop above and below: 0.9 cents each way, a beat of four seconds.
TENOR_SPREAD_CYCLES = 1

TICK_S = 0.06
# How high each tick rings, and its greatest sample.
TICKS = {Accent.BAR: (1_420.0, 1.0), Accent.BEAT: (1_050.0, 0.7), Accent.PART: (1_050.0, 0.25)}


class ChanterTones:
    """The tones of one chanter for any hole state, made when first asked for."""

    def __init__(self, voice: Voice, low_a_hz: float, pitches: PitchTable) -> None:
        self._voice = CHANTERS[voice]
        self._low_a_hz = low_a_hz * self._voice.octave
        self._pitches = pitches
        self._loops: dict[HoleState, Loop] = {}
        self._shared: dict[tuple[float, float, float], Loop] = {}

    def loop(self, state: HoleState) -> Loop:
        """The tone that a hole state sounds. States of the same pitch and loudness share one loop."""
        found = self._loops.get(state)
        if found is None:
            found = self._loops[state] = self._made(state)
        return found

    def _made(self, state: HoleState) -> Loop:
        hz = self._low_a_hz * self._pitches.ratios[state]
        peak = self._voice.balance[sounded(state)]
        veil = self._pitches.veils[state]
        key = (hz, peak, veil)
        if key not in self._shared:
            self._shared[key] = make_loop(hz, self._voice.timbre, peak=peak, veil=veil)
        return self._shared[key]


class Drones:
    """Bass and tenors sounding together: an endless stereo loop of about 8 s, with a greatest sample of 1."""

    def __init__(self, low_a_hz: float) -> None:
        self._samples = _drone_samples(low_a_hz)

    def write(self, out: NDArray[np.float32], frame: int, gain: float) -> None:
        """Fill `out`, shape (n, 2), beginning at `frame` of the loop."""
        at, frame = 0, frame % len(self._samples)
        while at < len(out):
            count = min(len(out) - at, len(self._samples) - frame)
            np.multiply(self._samples[frame : frame + count], np.float32(gain), out=out[at : at + count])
            at, frame = at + count, 0


def _drone_samples(low_a_hz: float) -> NDArray[np.float32]:
    bass_cycles, frames = _drone_cycles(low_a_hz)
    per_cycle_hz = SAMPLE_RATE_HZ / frames
    sides = np.zeros((2, frames // 2 + 1), np.complex128)
    tenors = (2 * bass_cycles - TENOR_SPREAD_CYCLES, 2 * bass_cycles + TENOR_SPREAD_CYCLES)
    for cycles, timbre, gains in zip((bass_cycles, *tenors), (BASS, TENOR, TENOR), PLACES, strict=True):
        amplitudes = timbre.amplitudes(cycles * per_cycle_hz)
        for side, gain in zip(sides, gains, strict=True):
            place_harmonics(side, gain * amplitudes, cycles)
    return np.ascontiguousarray(with_peak(np.fft.irfft(sides, frames).T, 1.0))


def _drone_cycles(low_a_hz: float) -> tuple[int, int]:
    """The cycles of the bass drone in the loop and the loop's frames, a number that is quick to Fourier transform."""
    about = round(DRONE_LOOP_S * low_a_hz / 4.0)
    options = [(cycles, round(cycles * 4.0 * SAMPLE_RATE_HZ / low_a_hz)) for cycles in range(about, about + 60)]
    return next((option for option in options if _is_smooth(option[1])), options[0])


def _is_smooth(number: int) -> bool:
    for prime in (2, 3, 5, 7, 11):
        while number % prime == 0:
            number //= prime
    return number == 1


def tick(accent: Accent) -> NDArray[np.float32]:
    """One tick of the metronome, like a small block of wood; the first of a bar is brighter and louder, a part of a
    beat softer than the beat. Mono.
    """
    at_s = np.arange(round(TICK_S * SAMPLE_RATE_HZ)) / SAMPLE_RATE_HZ
    hz, peak = TICKS[accent]
    ring = np.sin(2 * np.pi * hz * at_s) + 0.4 * np.sin(2 * np.pi * 2.71 * hz * at_s) * np.exp(-at_s / 0.004)
    swell = 1.0 - np.exp(-at_s / 0.0005)
    fade = np.exp(-at_s / 0.010) * np.clip((TICK_S - at_s) / 0.010, 0.0, 1.0)
    return with_peak(ring * swell * fade, peak)


class VoiceBank:
    """All voices at one pitch, voice and tuning; levels are not part of it."""

    def __init__(self, settings: SoundSettings) -> None:
        self.chanter = ChanterTones(settings.voice, settings.low_a_hz, pitch_table(settings.tuning))
        self.drones = Drones(settings.low_a_hz)
        self.ticks = {accent: tick(accent) for accent in Accent}
        self._made_for = _timbre_key(settings)

    def fits(self, settings: SoundSettings) -> bool:
        """Whether these voices are the ones that `settings` ask for."""
        return self._made_for == _timbre_key(settings)


def _timbre_key(settings: SoundSettings) -> tuple[Voice, float, str]:
    return settings.voice, settings.low_a_hz, settings.tuning.name
