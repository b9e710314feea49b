"""Conditions are what they say: reverberation, noise, microphone and codec are measured in the sound."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.signal import correlate

from tests.hearing.conditions.condition import CONDITIONS, DRY, recorded
from tests.hearing.conditions.drones import DroneSound, DroneSource, with_drones
from tests.hearing.conditions.microphone import MicrophoneResponse, resampled, through_microphone
from tests.hearing.conditions.noise import BackgroundNoise, NoiseColour, noise_samples, sounding_rms, with_noise
from tests.hearing.conditions.room import RecordingRoom, impulse_response
from tests.hearing.recording import RATE_HZ, TrueRecording, rms
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.takes import learners_take

pytestmark = pytest.mark.same_everywhere


@pytest.fixture(scope="module")
def dry() -> TrueRecording:
    """A short recording of our practice voice."""
    return sounding(learners_take(4, 4.0), SoundSource.PRACTICE_VOICE, 1)


@pytest.mark.parametrize("rt60_s", [0.4, 0.8])
def test_a_room_decays_as_asked_for(rt60_s: float) -> None:
    """Schroeder's backward integral of the response falls by 30 dB, from -5 dB on, within half of RT60 (ISO 3382's T30,
    from memory)."""
    response = impulse_response(RecordingRoom(rt60_s), RATE_HZ, 1)
    left = np.cumsum(response[::-1] ** 2)[::-1]
    left_db = 10.0 * np.log10(left / left[int(0.01 * RATE_HZ)])
    at = [int(np.flatnonzero(left_db < level)[0]) for level in (-5.0, -35.0)]
    assert 2.0 * (at[1] - at[0]) / RATE_HZ == pytest.approx(rt60_s, rel=0.1)


@pytest.mark.parametrize("rt60_s", [0.4, 0.8])
def test_a_room_keeps_the_direct_sound_in_time_and_proportion(rt60_s: float) -> None:
    """The direct sound is sample 0, and what follows has the energy that the ratio in dB says."""
    room = RecordingRoom(rt60_s)
    response = impulse_response(room, RATE_HZ, 2)
    assert response[0] == pytest.approx(1.0)
    reverberant = float(np.sum(response[1:] ** 2))
    assert -10.0 * np.log10(reverberant) == pytest.approx(room.direct_to_reverberant_db, abs=0.1)


@pytest.mark.parametrize("colour", NoiseColour)
@pytest.mark.parametrize("snr_db", [25.0, 10.0])
def test_noise_is_as_loud_as_asked_for(dry: TrueRecording, colour: NoiseColour, snr_db: float) -> None:
    """What was added has a root mean square that many dB below what sounds."""
    noisy = with_noise(dry.samples, RATE_HZ, BackgroundNoise(colour, snr_db), 1)
    ratio_db = 20.0 * np.log10(sounding_rms(dry.samples, RATE_HZ) / rms(noisy - dry.samples))
    assert ratio_db == pytest.approx(snr_db, abs=0.05)


def test_noise_has_its_colour() -> None:
    """From 250 to 4,000 Hz white noise is even, pink noise falls by 3 dB an octave, hum lies at multiples of 50 Hz."""
    spectra = {
        colour: np.abs(np.fft.rfft(noise_samples(colour, 2 * RATE_HZ, RATE_HZ, 1))) ** 2 for colour in NoiseColour
    }
    octaves = (slice(500, 1_000), slice(4_000, 8_000))  # a bin is half a hertz: 250 to 500 Hz, 2 to 4 kHz

    def fall_db(colour: NoiseColour) -> float:
        low, high = (float(np.mean(spectra[colour][octave])) for octave in octaves)
        return float(10.0 * np.log10(low / high))

    assert fall_db(NoiseColour.WHITE) == pytest.approx(0.0, abs=0.5)
    assert fall_db(NoiseColour.PINK) == pytest.approx(9.0, abs=0.5)
    hum = spectra[NoiseColour.HUM]
    assert sum(float(hum[100 * rank]) for rank in range(1, 13)) > 0.9 * float(np.sum(hum))


def test_a_microphone_loses_the_lowest() -> None:
    """At its corner a high pass of second order after Butterworth has lost 3 dB, two octaves below it 24 dB."""
    times_s = np.arange(2 * RATE_HZ) / RATE_HZ
    lost_db = []
    for hz in (100.0, 25.0):
        tone = np.sin(2.0 * np.pi * hz * times_s).astype(np.float32)
        heard = through_microphone(tone, RATE_HZ, MicrophoneResponse(100.0))[RATE_HZ:]
        lost_db.append(-20.0 * np.log10(rms(heard) / rms(tone)))
    assert lost_db == pytest.approx([3.0, 24.1], abs=0.2)


def test_a_tilted_microphone_tilts() -> None:
    """Of 2 dB an octave, a tone at 4 kHz gains 4 dB on one at 1 kHz."""
    times_s = np.arange(RATE_HZ) / RATE_HZ
    heard = [
        rms(
            through_microphone(np.sin(2.0 * np.pi * hz * times_s).astype(np.float32), RATE_HZ, MicrophoneResponse(0, 2))
        )
        for hz in (1_000.0, 4_000.0)
    ]
    assert 20.0 * np.log10(heard[1] / heard[0]) == pytest.approx(4.0, abs=0.1)


@pytest.mark.parametrize("source", DroneSource)
def test_drones_sound_at_half_and_quarter_of_low_a(dry: TrueRecording, source: DroneSource) -> None:
    """The strongest low partials of what was added are a bass at a quarter of the pipe's low A and tenors at half."""
    low_a_hz = 2.0 * dry.low_a_hz
    added = with_drones(dry.samples, low_a_hz, DroneSound(source, -6.0)) - dry.samples
    spectrum = np.abs(np.fft.rfft(added * np.hanning(len(added))))
    per_bin_hz = RATE_HZ / len(added)

    def near(hz: float) -> float:
        at = round(hz / per_bin_hz)
        return float(np.max(spectrum[at - 3 : at + 4]))

    between = float(np.max(spectrum[round(0.3 * low_a_hz / per_bin_hz) : round(0.45 * low_a_hz / per_bin_hz)]))
    assert min(near(0.25 * low_a_hz), near(0.5 * low_a_hz)) > 10.0 * between
    assert 20.0 * np.log10(rms(added) / sounding_rms(dry.samples, RATE_HZ)) == pytest.approx(-6.0, abs=0.1)


def lag(heard: NDArray[np.float32], dry: NDArray[np.float32]) -> int:
    """By how many samples `heard` is later, by correlation."""
    return int(np.argmax(correlate(heard.astype(np.float64), dry.astype(np.float64)))) - (len(dry) - 1)


@pytest.mark.parametrize("condition", CONDITIONS, ids=lambda condition: condition.name)
def test_no_condition_moves_the_sound_in_time(dry: TrueRecording, condition: object) -> None:
    """Correlated with the dry sound at the same rate, each is in time to a sixteenth of a millisecond, has as many
    seconds, and is within full scale."""
    assert condition in CONDITIONS
    wanted = next(each for each in CONDITIONS if each == condition)
    heard = recorded(dry, wanted, 1)
    channel = heard.samples if heard.samples.ndim == 1 else heard.samples[:, 0]
    at_rate = resampled(dry.samples, RATE_HZ, heard.rate_hz)
    assert abs(lag(channel[: len(at_rate)], at_rate)) <= heard.rate_hz / 16_000
    assert heard.duration_s == pytest.approx(dry.duration_s, abs=1e-3)
    assert heard.samples.dtype == np.float32
    assert np.max(np.abs(heard.samples)) <= 1.05  # a codec may overshoot
    assert heard.segments == dry.segments


def test_the_same_seed_makes_the_same_condition(dry: TrueRecording) -> None:
    """Codec and all."""
    once, again = (recorded(dry, CONDITIONS[-2], 3).samples for _ in range(2))
    np.testing.assert_array_equal(once, again)


def test_a_gain_that_is_too_much_clips(dry: TrueRecording) -> None:
    """At full scale, for long."""
    loud = recorded(dry, replace(DRY, gain_db=18.0), 1).samples
    assert np.mean(np.abs(loud) == 1.0) > 0.02
