"""How soon a played note is heard, how clean the change is, and whether the sound ever stops: both ways of sounding.

What the loudspeaker would get goes through SDL's disk driver into a pipe, and another process stamps it as it comes.
Run as ``python3 -m tests.bench.bench_live``; it takes a little more than two minutes.
"""

from __future__ import annotations

import multiprocessing
import os
import random
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from multiprocessing.connection import Connection
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from companion.sound.device import DEVICE_FRAMES, Device
from companion.sound.live import open_live_voice
from companion.sound.settings import SAMPLE_RATE_HZ, LatencyMode, SoundSettings
from companion.sound.voices import VoiceBank
from fingering.chart import chart
from fingering.notes import Note

MEASURE_S = 60.0
# Long enough for the tone before it to have been heard through one whole loop.
BETWEEN_S = (0.18, 0.26)
NOISE_ABOVE_HZ = 17_000.0
BYTES_PER_FRAME = 4
CHANGED = 2
NOTES = (Note.LOW_A, Note.C, Note.E, Note.HIGH_A)
GOALS = {
    LatencyMode.LOW_LATENCY: "goals: median at most 6 ms, p99 at most 14",
    LatencyMode.STREAMING: "goals: median at most 18 ms, p99 at most 28, at most -60 dB, no silent block",
}


@dataclass(frozen=True, slots=True, eq=False)
class Recording:
    """What came out, int16 mono, and when (perf_counter) it left the mixer: rows of (frames so far, seconds)."""

    samples: NDArray[np.int16]
    arrivals: NDArray[np.float64]

    def heard_at_s(self, frame: int) -> float:
        """When a frame left the mixer: its block's time, and its place in the block at the sample rate."""
        block = frame // DEVICE_FRAMES * DEVICE_FRAMES
        written_s = float(np.interp(block + DEVICE_FRAMES, self.arrivals[:, 0], self.arrivals[:, 1]))
        return written_s + (frame - block) / SAMPLE_RATE_HZ


def _stamp_pipe(path: str, out: Connection) -> None:
    """In its own process, so that nothing else in Python delays the stamps.

    SDL writes a block at a time through the C library, which hands over its full buffer only when the next block comes:
    at every arrival one more block has left the mixer.
    """
    chunks, stamps, frames = [], [], 0
    with open(path, "rb", buffering=0) as pipe:
        while chunk := pipe.read(1 << 16):
            frames += len(chunk) // BYTES_PER_FRAME
            stamps.append((frames + DEVICE_FRAMES, time.perf_counter()))
            chunks.append(chunk)
    out.send((b"".join(chunks), stamps))


def _perform(way: LatencyMode) -> list[tuple[float, Note]]:
    """Play random notes for MEASURE_S; returns when each was asked for."""
    dice = random.Random(8)
    device = Device()
    voice = open_live_voice(device, SoundSettings(drones_level=0.0), way)
    asked, note = [], NOTES[0]
    end_s = time.perf_counter() + MEASURE_S
    while (now_s := time.perf_counter()) < end_s:
        note = dice.choice([each for each in NOTES if each is not note])
        asked.append((now_s, note))
        voice.sound(chart(note))
        time.sleep(dice.uniform(*BETWEEN_S))
    print(f"  underruns counted: {voice.underruns}")
    voice.close()
    device.close()
    return asked


def record(way: LatencyMode) -> tuple[Recording, list[tuple[float, Note]]]:
    """A performance and what the loudspeaker would have got of it."""
    with tempfile.TemporaryDirectory() as folder:
        pipe = str(Path(folder) / "loudspeaker")
        os.mkfifo(pipe)
        os.environ.update(SDL_AUDIODRIVER="disk", SDL_DISKAUDIOFILE=pipe)
        context = multiprocessing.get_context("spawn")
        here, there = context.Pipe()
        reader = context.Process(target=_stamp_pipe, args=(pipe, there))
        reader.start()
        asked = _perform(way)
        data, stamps = here.recv()
        reader.join()
    stereo = np.frombuffer(data[: len(data) // BYTES_PER_FRAME * BYTES_PER_FRAME], "<i2").reshape(-1, 2)
    return Recording(stereo[:, 0], np.array(stamps)), asked


def changes(recording: Recording, asked: list[tuple[float, Note]]) -> Iterator[tuple[float, int]]:
    """For each note but the first: when it was asked for, and the first frame unlike the note before.

    A tone repeats itself exactly after its loop, so the change is where it stops doing so.
    """
    samples = recording.samples.astype(np.int32)
    bank = VoiceBank(SoundSettings())
    for (_, before), (asked_s, _) in pairwise(asked):
        frames = bank.chanter.loop(chart(before)).frames
        begin = int(np.interp(asked_s, recording.arrivals[:, 1], recording.arrivals[:, 0])) - 2 * DEVICE_FRAMES
        stretch = slice(begin, begin + round(0.1 * SAMPLE_RATE_HZ))
        shifted = slice(begin - frames, stretch.stop - frames)
        if begin < frames or stretch.stop > len(samples):
            continue
        differs = np.flatnonzero(np.abs(samples[stretch] - samples[shifted]) > CHANGED)
        if len(differs):
            yield asked_s, begin + int(differs[0])


def noise_db(recording: Recording, frame: int, window: int = 1_024) -> float:
    """Energy above 17 kHz around a change, over all energy there, in dB."""
    piece = recording.samples[frame - window // 2 : frame + window // 2].astype(np.float64)
    energy = np.abs(np.fft.rfft(piece * np.blackman(len(piece)))) ** 2
    hz = np.fft.rfftfreq(len(piece), 1.0 / SAMPLE_RATE_HZ)
    return float(10.0 * np.log10(energy[hz > NOISE_ABOVE_HZ].sum() / energy.sum()))


def silent_blocks(recording: Recording) -> int:
    """Silent blocks between the first sound and the last."""
    whole = len(recording.samples) // DEVICE_FRAMES * DEVICE_FRAMES
    loudest = np.abs(recording.samples[:whole].astype(np.int32)).reshape(-1, DEVICE_FRAMES).max(axis=1)
    sounding = np.flatnonzero(loudest > 1)
    return int(np.count_nonzero(loudest[sounding[0] : sounding[-1]] <= 1))


def report(way: LatencyMode) -> None:
    """Measure one way of sounding and print it beside its goals."""
    print(f"live, {way.value} ({GOALS[way]}):")
    recording, asked = record(way)
    found = list(changes(recording, asked))
    delays_ms = [1e3 * (recording.heard_at_s(frame) - asked_s) for asked_s, frame in found]
    noises = [noise_db(recording, frame) for _, frame in found]
    median, p99 = np.percentile(delays_ms, (50, 99))
    print(f"  message to changed sample: median {median:.1f} ms, p99 {p99:.1f} ms, of {len(found)} of {len(asked)}")
    print(f"  above 17 kHz at a change: median {np.median(noises):.0f} dB, worst {max(noises):.0f} dB")
    print(f"  silent blocks in {MEASURE_S:.0f} s: {silent_blocks(recording)}")


def main() -> None:
    """Measure both ways."""
    sys.setswitchinterval(0.0005)
    for way in LatencyMode:
        report(way)


if __name__ == "__main__":
    main()
