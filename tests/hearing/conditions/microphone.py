"""What a microphone and a sound card make of a sound: their response, gain, sample rate, and one channel or two."""

from __future__ import annotations

from dataclasses import dataclass
from math import gcd

import numpy as np
from scipy.signal import butter, resample_poly, sosfilt

from tests.hearing.recording import Samples, decibels

TILT_PIVOT_HZ = 1_000.0
OTHER_CHANNEL_DB = -3.0
OTHER_CHANNEL_S = 0.0003
"""A second channel is softer and later, as a second capsule 10 cm off: no source."""


@dataclass(frozen=True, slots=True)
class MicrophoneResponse:
    """high_pass_hz: below it sound is lost, 12 dB an octave. tilt_db: dB an octave, above 0 for a bright one."""

    high_pass_hz: float = 0.0
    tilt_db: float = 0.0


TELEPHONE = MicrophoneResponse(100.0, 1.5)
DULL = MicrophoneResponse(30.0, -2.0)


def through_microphone(samples: Samples, rate_hz: int, response: MicrophoneResponse) -> Samples:
    """Mono samples as that microphone hears them."""
    out = samples.astype(np.float64)
    if response.high_pass_hz:
        out = sosfilt(butter(2, response.high_pass_hz, "highpass", fs=rate_hz, output="sos"), out)
    if response.tilt_db:
        bins = np.fft.rfft(out)
        octaves = np.log2(np.maximum(np.fft.rfftfreq(len(out), 1.0 / rate_hz), 20.0) / TILT_PIVOT_HZ)
        out = np.fft.irfft(bins * 10.0 ** (response.tilt_db * octaves / 20.0), len(out))
    return out.astype(np.float32)


def resampled(samples: Samples, rate_hz: int, new_hz: int) -> Samples:
    """Samples (mono or stereo) at another rate; nothing is moved in time."""
    if new_hz == rate_hz:
        return samples
    shared = gcd(rate_hz, new_hz)
    return np.asarray(resample_poly(samples, new_hz // shared, rate_hz // shared, axis=0), np.float32)


def in_stereo(samples: Samples, rate_hz: int) -> Samples:
    """Two channels, shape (n, 2), the right one a little softer and later."""
    late = round(OTHER_CHANNEL_S * rate_hz)
    right = np.concatenate((np.zeros(late, np.float32), samples))[: len(samples)]
    return np.stack((samples, np.float32(decibels(OTHER_CHANNEL_DB)) * right), axis=1)
