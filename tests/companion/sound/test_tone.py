"""Loops: their pitch, their colour, no aliasing."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from companion.sound.pitch import PitchTable, pitch_table
from companion.sound.settings import LOW_A_RANGE_HZ, SAMPLE_RATE_HZ, SoundSettings, Voice
from companion.sound.tone import TAPER_HZ, Loop
from companion.sound.voices import CHANTERS, ChanterTones, Drones, VoiceBank
from fingering.chart import chart
from fingering.holes import HoleState
from fingering.notes import HARMONIC, TUNINGS, Note, Tuning
from tests.companion.sound.hearing import cents, energy, peak_hz

PITCHES_HZ = np.linspace(*LOW_A_RANGE_HZ, 11)


def _loop(note: Note, voice: Voice, low_a_hz: float = 480.0, tuning: Tuning = HARMONIC) -> Loop:
    return ChanterTones(voice, low_a_hz, pitch_table(tuning)).loop(chart(note))


@pytest.mark.parametrize("voice", list(Voice))
@pytest.mark.parametrize("tuning", TUNINGS, ids=lambda tuning: tuning.name)
@pytest.mark.parametrize("note", list(Note))
def test_every_note_is_within_a_third_of_a_cent(note: Note, tuning: Tuning, voice: Voice) -> None:
    """At any pitch of low A the loop, heard by FFT, is at the tuning's ratio: Macpherson 1998's published ratios."""
    for low_a_hz in PITCHES_HZ:
        loop = _loop(note, voice, low_a_hz, tuning)
        wanted_hz = low_a_hz * tuning.ratio(note) * CHANTERS[voice].octave
        assert abs(cents(loop.frequency_hz, wanted_hz)) < 0.3
        heard_hz = peak_hz(loop.samples[: 3 * loop.frames].astype(float), wanted_hz)
        assert abs(cents(heard_hz, wanted_hz)) < 0.5


@pytest.mark.parametrize(("voice", "low_a_hz"), [(Voice.PRACTICE, 240.0), (Voice.PIPE, 480.0)])
def test_the_practice_chanter_sounds_an_octave_below_the_pipe(voice: Voice, low_a_hz: float) -> None:
    """Low A 240 and 480 Hz: 480 published (Macpherson 1998, pipescale.html), the octave from memory."""
    assert _loop(Note.LOW_A, voice).frequency_hz == pytest.approx(low_a_hz, rel=1e-4)


def test_the_practice_chanter_is_mostly_odd_harmonics_and_the_pipe_is_not() -> None:
    """A closed cylinder has weak even harmonics: from memory."""
    share = {}
    for voice in Voice:
        loop = _loop(Note.LOW_A, voice)
        hz = loop.frequency_hz
        bands = [energy(loop.samples.astype(float), (k - 0.5) * hz, (k + 0.5) * hz) for k in range(1, 9)]
        share[voice] = sum(bands[1::2]) / sum(bands)
    assert share[Voice.PRACTICE] < 0.01
    assert share[Voice.PIPE] > 0.3


def test_the_pipe_is_the_brighter_voice() -> None:
    """More of its energy lies above 1.5 kHz."""
    high = {}
    for voice in Voice:
        samples = _loop(Note.LOW_A, voice).samples.astype(float)
        high[voice] = energy(samples, 1_500.0, 24_000.0) / energy(samples, 0.0, 24_000.0)
    assert high[Voice.PIPE] > 3.0 * high[Voice.PRACTICE]


@pytest.mark.parametrize("voice", list(Voice))
def test_nothing_sounds_above_the_taper(voice: Voice) -> None:
    """No harmonic comes near half the sample rate, so none is folded back."""
    for note in Note:
        samples = _loop(note, voice).samples.astype(float)
        above = energy(samples, TAPER_HZ[1] + 100.0, SAMPLE_RATE_HZ / 2)
        assert above < 1e-9 * energy(samples, 0.0, SAMPLE_RATE_HZ / 2)


def _loudness(note: Note, voice: Voice) -> float:
    loop = _loop(note, voice)
    return float(np.sqrt(np.mean(loop.samples[: loop.frames].astype(float) ** 2)))


def test_on_the_pipe_higher_notes_are_quieter_and_high_a_is_the_quietest() -> None:
    """Higher notes quieter than low ones: Carruthers, bagpipe.news, 16 July 2020; high A: common practice."""
    loudness = [_loudness(note, Voice.PIPE) for note in Note]
    assert all(low > high for low, high in pairwise(loudness))


def test_on_the_practice_chanter_high_a_is_the_loudest() -> None:
    """Loud, perhaps the loudest: common practice, no source."""
    loudness = {note: _loudness(note, Voice.PRACTICE) for note in Note}
    assert max(loudness, key=lambda note: loudness[note]) is Note.HIGH_A


def test_a_veiled_state_is_softer_and_duller() -> None:
    """Half the level at most, and less of it in the upper harmonics."""
    ratios = pitch_table(HARMONIC).ratios
    clear, veiled = (ChanterTones(Voice.PIPE, 480.0, PitchTable(ratios, (veil,) * 256)) for veil in (0.0, 1.0))
    samples = [each.loop(chart(Note.E)).samples.astype(float) for each in (clear, veiled)]
    assert np.abs(samples[1]).max() == pytest.approx(0.5 * np.abs(samples[0]).max(), rel=1e-5)
    brightness = [energy(each, 2_000.0, 24_000.0) / energy(each, 0.0, 24_000.0) for each in samples]
    assert brightness[1] < 0.4 * brightness[0]


def test_a_pitch_table_has_one_row_for_each_state() -> None:
    """256 ratios and 256 veils, neither more nor fewer."""
    with pytest.raises(ValueError, match="256"):
        PitchTable((1.0,) * 255, (0.0,) * 256)


def test_all_256_states_sound() -> None:
    """Whatever the fingers do there is a tone, never louder than the loudest note."""
    chanter = VoiceBank(SoundSettings()).chanter
    for bits in range(256):
        loop = chanter.loop(HoleState(bits))
        assert 0.3 < np.abs(loop.samples[: loop.frames]).max() <= 1.0


@pytest.mark.parametrize("low_a_hz", [440.0, 466.0, 477.3, 480.0, 490.0])
def test_drones_stand_one_and_two_octaves_below_low_a(low_a_hz: float) -> None:
    """Tenors an octave and the bass two octaves below: bagpipehistory.info, published."""
    samples = np.zeros((4 * SAMPLE_RATE_HZ, 2), np.float32)
    Drones(low_a_hz).write(samples, 0, 1.0)
    both = samples.sum(axis=1).astype(float)
    assert abs(cents(peak_hz(both, low_a_hz / 4), low_a_hz / 4)) < 0.3
    assert abs(cents(peak_hz(both, low_a_hz / 2), low_a_hz / 2)) < 1.5


def test_the_tenors_beat() -> None:
    """They are a little apart, each within two cents of its place: at their pitch the loudness swells and sinks."""
    samples = np.zeros((8 * SAMPLE_RATE_HZ, 2), np.float32)
    Drones(480.0).write(samples, 0, 1.0)
    tenths = samples.sum(axis=1).astype(float).reshape(80, -1)
    levels = np.array([energy(tenth, 220.0, 260.0) for tenth in tenths])
    assert levels.max() > 20.0 * levels.min()
    spectrum = np.abs(np.fft.rfft(samples.sum(axis=1).astype(float)))
    tenors_hz = np.sort(np.argsort(spectrum[1_900:1_940])[-2:] + 1_900) / 8.0
    assert tenors_hz[0] < 240.0 < tenors_hz[1]
    assert max(abs(cents(hz, 240.0)) for hz in tenors_hz) < 2.0


def test_drones_go_on_without_a_seam() -> None:
    """The sample after the loop's last is its first, and any two blocks join."""
    drones = Drones(466.2)
    whole = np.zeros((9 * SAMPLE_RATE_HZ, 2), np.float32)
    drones.write(whole, 0, 1.0)
    part = np.zeros((SAMPLE_RATE_HZ, 2), np.float32)
    drones.write(part, 8 * SAMPLE_RATE_HZ, 1.0)
    assert np.array_equal(part, whole[8 * SAMPLE_RATE_HZ :])
    steps = np.abs(np.diff(whole, axis=0)).max(axis=1)
    assert steps[7 * SAMPLE_RATE_HZ :].max() <= 1.01 * steps[: 7 * SAMPLE_RATE_HZ].max()
    assert math.isclose(np.abs(whole).max(), 1.0, rel_tol=1e-5)
