"""Ears for tests: pitch and moments of change, found in samples alone."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from companion.sound.settings import SAMPLE_RATE_HZ

Samples = NDArray[np.float64] | NDArray[np.int16]


def cents(hz: float, reference_hz: float) -> float:
    """The distance from `reference_hz` up to `hz`."""
    return float(1200.0 * np.log2(hz / reference_hz))


@cache
def _window(length: int) -> NDArray[np.float64]:
    return np.blackman(length)


def peak_hz(samples: Samples, about_hz: float, within_cents: float = 80.0) -> float:
    """Frequency of the strongest partial near `about_hz`, by FFT, between its bins by a parabola through the dB."""
    size = 1 << int(np.ceil(np.log2(2 * len(samples))))
    level = np.log(np.abs(np.fft.rfft(samples * _window(len(samples)), size)) + 1e-30)
    low, high = (about_hz * 2.0 ** (sign * within_cents / 1200.0) * size / SAMPLE_RATE_HZ for sign in (-1, 1))
    first = int(np.floor(low))
    top = first + int(np.argmax(level[first : int(np.ceil(high)) + 1]))
    left, middle, right = level[top - 1 : top + 2]
    return float((top + 0.5 * (left - right) / (left - 2.0 * middle + right)) * SAMPLE_RATE_HZ / size)


def energy(samples: Samples, low_hz: float, high_hz: float) -> float:
    """Energy between two frequencies."""
    power = np.abs(np.fft.rfft(samples * _window(len(samples)))) ** 2
    hz = np.fft.rfftfreq(len(samples), 1.0 / SAMPLE_RATE_HZ)
    return float(power[(hz >= low_hz) & (hz < high_hz)].sum())


def change_s(samples: Samples, about_s: float, before_hz: float, after_hz: float) -> float:
    """When a tone of one pitch gives way to another, near `about_s`, between stretches of 19 ms that are steady.

    Seen from the pitch between the two, the phase runs back before the change and forward after it: two straight lines,
    which meet at the change.
    """
    centre = round(about_s * SAMPLE_RATE_HZ)
    window = np.hanning(round(0.008 * SAMPLE_RATE_HZ))
    reach = round(0.019 * SAMPLE_RATE_HZ)
    at = np.arange(centre - reach, centre + reach)
    turned = samples[at] * np.exp(-1j * np.pi * (before_hz + after_hz) * at / SAMPLE_RATE_HZ)
    phase = np.unwrap(np.angle(np.convolve(turned, window, "valid")))
    moments = at[len(window) // 2 :][: len(phase)] - centre
    guard = round(0.0065 * SAMPLE_RATE_HZ)
    early, late = moments < -guard, moments > guard
    (slope_a, base_a), (slope_b, base_b) = (np.polyfit(moments[part], phase[part], 1) for part in (early, late))
    turns = round((base_a - base_b) / (2.0 * np.pi))
    return about_s + float((base_b + 2.0 * np.pi * turns - base_a) / (slope_a - slope_b)) / SAMPLE_RATE_HZ
