"""How fast a tune is rendered into a WAV file, beside fluidsynth rendering the same notes in the same run.

The whole command is timed for fluidsynth and, to be fair, all of our own work from the tune on: schedule, voices,
rendering, file. Run as ``python3 -m tests.bench.bench_sound``.
"""

from __future__ import annotations

import subprocess
import tempfile
import time
import wave
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import mido

from companion.schedule.build import build_schedule
from companion.schedule.events import EventKind, Schedule
from companion.schedule.timing import Timing
from companion.score.abc import read_abc
from companion.score.bundled import bundled_files
from companion.score.model import Tune
from companion.sound.files.wav import write_wav
from companion.sound.renderer import Renderer
from companion.sound.settings import SoundSettings
from tests.referees import require_file, require_program

ROUNDS = 3
TIMES_THROUGH = 3
PATIENCE_S = 60.0
BAGPIPE_PROGRAM = 109  # General MIDI 1, counted from 0
DRONES = {1: 45, 2: 57, 3: 57}  # MIDI note numbers by channel: a bass and two tenors under the chanter's 69
TICKS_PER_S = 1_000
GOALS = "goals: at least 5 times fluidsynth without effects, 500 times real time"


def long_tune() -> Tune:
    """The first bundled march, played over and over: some minutes of it."""
    tune = read_abc(bundled_files()[0]).tunes[0]
    return replace(tune, order=tune.order * TIMES_THROUGH)


def write_midi(schedule: Schedule, path: Path) -> None:
    """Write a schedule's notes and drones as a MIDI file for fluidsynth; a tick is a millisecond."""
    track = mido.MidiTrack()
    track.append(mido.MetaMessage("set_tempo", tempo=1_000_000, time=0))
    for channel in (0, *DRONES):
        track.append(mido.Message("program_change", channel=channel, program=BAGPIPE_PROGRAM, time=0))
    for channel, number in DRONES.items():
        track.append(mido.Message("note_on", channel=channel, note=number, velocity=60, time=0))
    now = 0
    for event in schedule.events:
        if event.kind is not EventKind.REST:
            start, end = (round(TICKS_PER_S * at_s) for at_s in (event.start_s, event.end_s))
            track.append(mido.Message("note_on", note=event.note.midi, velocity=90, time=start - now))
            track.append(mido.Message("note_off", note=event.note.midi, velocity=0, time=end - start))
            now = end
    for channel, number in DRONES.items():  # fluidsynth goes on for as long as anything is held
        track.append(mido.Message("note_off", channel=channel, note=number, velocity=0, time=0))
    mido.MidiFile(tracks=[track], ticks_per_beat=TICKS_PER_S).save(str(path))


def _best_s(work: Callable[[], None]) -> float:
    """The quickest of some rounds: what else the machine does only ever adds."""
    taken = []
    for _ in range(ROUNDS):
        begun_s = time.perf_counter()
        work()
        taken.append(time.perf_counter() - begun_s)
    return min(taken)


def _seconds_in(path: Path) -> float:
    with wave.open(str(path)) as file:
        return float(file.getnframes() / file.getframerate())


def _timed_peer(words: list[str], wav: Path, effects: str) -> Callable[[], None]:
    command = [words[0], "-ni", "-r", "48000", "-R", effects, "-C", effects, "-F", str(wav), *words[1:]]
    return lambda: _run(command)


def _run(command: list[str]) -> None:
    subprocess.run(command, check=True, capture_output=True, timeout=PATIENCE_S)


def _report(name: str, taken_s: float, wav: Path, ours: float | None = None) -> float:
    times = _seconds_in(wav) / taken_s
    beside = "" if ours is None else f"; ours is {ours / times:.1f} times as fast"
    print(f"  {name}: {times:.0f} times real time ({_seconds_in(wav):.0f} s of sound in {taken_s:.3f} s){beside}")
    return times


def main() -> None:
    """Measure and print."""
    fluidsynth, font = require_program("fluidsynth"), require_file("/usr/share/sounds/sf2/FluidR3_GM.sf2")
    tune, settings = long_tune(), SoundSettings(metronome_level=0.2)
    schedule = build_schedule(tune, Timing())
    print(f"rendering {tune.title}, chanter, drones and metronome, WAV written ({GOALS}):")
    with tempfile.TemporaryDirectory() as folder:
        midi, wav = Path(folder) / "tune.mid", Path(folder) / "tune.wav"
        write_midi(schedule, midi)
        taken_s = _best_s(lambda: write_wav(wav, Renderer(schedule, settings), force=True))
        ours = _report("eightholes, voices made and rendered", taken_s, wav)
        taken_s = _best_s(lambda: write_wav(wav, Renderer(build_schedule(tune, Timing()), settings), force=True))
        _report("eightholes, with the schedule built", taken_s, wav)
        for effects in ("0", "1"):
            name = f"fluidsynth, effects {'on' if effects == '1' else 'off'}"
            _report(name, _best_s(_timed_peer([fluidsynth, str(font), str(midi)], wav, effects)), wav, ours)


if __name__ == "__main__":
    main()
