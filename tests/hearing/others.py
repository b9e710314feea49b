"""Sounds that are no chanter, or a chanter that something is wrong with."""

from __future__ import annotations

import enum
import io
import subprocess
import wave
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from tests.hearing.conditions.microphone import resampled
from tests.hearing.conditions.noise import NoiseColour, noise_samples, sounding_rms
from tests.hearing.recording import RATE_HZ, Samples, TrueRecording, decibels, generator
from tests.hearing.sources.fluid import BLOCK_FRAMES, FluidSynth
from tests.referees import require_program

SPOKEN = (
    "Take it slowly, and listen to the note before you lift the finger. "
    "Once more from the second bar, please, and leave the metronome on. "
)
PIANO, STRINGS, FINGERED_BASS, STEEL_GUITAR = 0, 48, 33, 25
"""General MIDI programs, counted from 0 (General MIDI 1, from memory)."""

VOWEL = ((700.0, 130.0, 1.0), (1_100.0, 150.0, 0.7), (2_500.0, 250.0, 0.3))
"""The formants of an open vowel: where, how wide, how strong (from memory)."""

SUNG_CENTS = (0, 200, 400, 500, 700, 900, 1_100, 1_200)
SUNG_S, GLIDE_S, VIBRATO_HZ = (0.3, 0.8), 0.06, 5.5

CHORDS = ((60, 64, 67), (57, 60, 64), (65, 69, 72), (55, 59, 62))
CHORD_S = 0.8


class NoChanter(enum.Enum):
    """What a hearing should find no chanter in."""

    SILENCE = "silence"
    WHITE_NOISE = "white noise"
    BABBLE = "babble"
    SPEECH = "speech"
    PIANO = "piano"
    BAND = "band"


def no_chanter(kind: NoChanter, seconds: float, seed: int = 0) -> Samples:
    """That sound: mono, 48 kHz, its greatest sample 0.5 (of silence 0)."""
    frames = round(seconds * RATE_HZ)
    made = _made(kind, frames, seed)
    return made * np.float32(0.5 / max(1e-9, float(np.max(np.abs(made)))))


def _made(kind: NoChanter, frames: int, seed: int) -> Samples:
    if kind is NoChanter.SILENCE:
        return np.zeros(frames, np.float32)
    if kind is NoChanter.SPEECH:
        return _speech(frames)
    if kind is NoChanter.PIANO:
        return _chords(frames, seed, PIANO)
    if kind is NoChanter.BAND:
        return _chords(frames, seed, STRINGS, FINGERED_BASS, STEEL_GUITAR)
    colour = NoiseColour.WHITE if kind is NoChanter.WHITE_NOISE else NoiseColour.BABBLE
    return noise_samples(colour, frames, RATE_HZ, seed)


def _speech(frames: int) -> Samples:
    """A teacher's sentences, said over and over by espeak-ng."""
    program = require_program("espeak-ng")
    done = subprocess.run([program, "--stdout", SPOKEN], capture_output=True, check=True)
    with wave.open(io.BytesIO(done.stdout)) as file:
        # Written to a pipe, the header tells no true length.
        said = np.frombuffer(file.readframes(file.getnframes()), "<i2").astype(np.float32) / 32_768.0
        said = resampled(said, file.getframerate(), RATE_HZ)
    return np.resize(said, frames).astype(np.float32)


def _chords(frames: int, seed: int, *programs: int) -> Samples:
    """Broken chords, each program an octave lower than the one before but the last, which is in the middle."""
    random = generator(seed, "chords")
    blocks: list[Samples] = []
    step = round(CHORD_S / 3.0 * RATE_HZ / BLOCK_FRAMES) * BLOCK_FRAMES
    with FluidSynth(*programs) as synth:
        for rank in range(frames // step + 1):
            chord = CHORDS[rank // 3 % len(CHORDS)]
            for channel in range(len(programs)):
                key = chord[(rank + channel) % 3] - 12 * (channel == 1)
                synth.note_on(key, int(random.integers(70, 110)), channel)
                if rank % 3 == 2:
                    for each in chord:
                        synth.note_off(each - 12 * (channel == 1), channel)
            blocks.append(synth.render(step))
    return np.concatenate(blocks)[:frames]


def song_on_a_vowel(seed: int, seconds: float = 8.0, vibrato_cents: float = 0.0) -> Samples:
    """Notes of a major scale by lot, sung legato: the pitch glides, the formants stay. Mono, 48 kHz, at most 0.5."""
    random = generator(seed, "song")
    frames = round(seconds * RATE_HZ)
    tonic_hz = 220.0 * 2.0 ** random.uniform(0.0, 1.0)
    cents: list[float] = []
    while len(cents) < frames:
        cents += [float(random.choice(SUNG_CENTS))] * round(RATE_HZ * random.uniform(*SUNG_S))
    glide = round(GLIDE_S * RATE_HZ)
    slid = np.convolve(
        np.pad(cents[:frames], (glide // 2, glide - 1 - glide // 2), "edge"), np.ones(glide) / glide, "valid"
    )
    slid += vibrato_cents * np.sin(2.0 * np.pi * VIBRATO_HZ * np.arange(frames) / RATE_HZ)
    hz = tonic_hz * 2.0 ** (slid / 1200.0)
    turns = np.cumsum(hz) / RATE_HZ
    out = np.zeros(frames)
    for rank in range(1, 25):
        formants = sum(gain / (1.0 + ((rank * hz - at_hz) / wide_hz) ** 2) for at_hz, wide_hz, gain in VOWEL)
        out += (0.02 + formants) / np.sqrt(rank) * np.sin(2.0 * np.pi * rank * turns)
    return np.asarray(0.5 / np.max(np.abs(out)) * out, np.float32)


def clipped(dry: TrueRecording, gain_db: float = 24.0) -> TrueRecording:
    """A chanter far too loud for its recorder."""
    return replace(dry, samples=np.clip(dry.samples * np.float32(decibels(gain_db)), -1.0, 1.0))


def two_at_once(one: TrueRecording, other: TrueRecording) -> TrueRecording:
    """Two chanters together, as loud as each other; the truth is the first one's. As long as the longer."""
    frames = max(len(one.samples), len(other.samples))
    both = np.zeros(frames, np.float32)
    both[: len(one.samples)] += 0.5 * one.samples
    both[: len(other.samples)] += 0.5 * other.samples
    return replace(one, samples=both)


def over_music(dry: TrueRecording, level_db: float = -10.0, seed: int = 0) -> TrueRecording:
    """A chanter (mono, 48 kHz) with a band under it, that much louder than the chanter (below 0: softer)."""
    music = no_chanter(NoChanter.BAND, dry.duration_s, seed)[: len(dry.samples)]
    factor = sounding_rms(dry.samples, RATE_HZ) / sounding_rms(music, RATE_HZ) * decibels(level_db)
    mixed = dry.samples + np.float32(factor) * music
    return replace(dry, samples=mixed * np.float32(min(1.0, 0.9 / float(np.max(np.abs(mixed))))))


def over_and_over(dry: TrueRecording, seconds: float = 3600.0) -> Iterator[Samples]:
    """The samples of a recording again and again for so long (an hour), block by block: nothing is held in memory."""
    left = round(seconds * dry.rate_hz)
    while left > 0:
        block = dry.samples[:left]
        left -= len(block)
        yield block
