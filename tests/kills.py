"""Kills programs that keep a take from real MIDI, and counts what was lost: ``python -m tests.kills [200]``."""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from companion.midi.messages import NoteOff, NoteOn, VoiceMessage
from companion.midi.takes import read_take
from fingering.errors import UserError
from tests.companion.midi.jack import ROOT

PROMISED_S = 0.25
"""No note that ended longer than this before the kill may be lost, the way through JACK included."""

AT_ONCE = 3
"""Stages at a time: each has a server, an instrument and the program itself, on the two cores of a small computer."""


@dataclass(frozen=True, slots=True)
class Sent:
    """A note that was played: when its Note On and its Note Off were handed to JACK."""

    number: int
    on_s: float
    off_s: float


@dataclass(frozen=True, slots=True)
class Kill:
    """One killing: how many notes had ended PROMISED_S before it, and the lost ones among all that had ended.

    waiting_s: how long before it the oldest of these had ended, 0 where none was lost.
    """

    promised: int
    broken: int
    waiting_s: float


def kill_takes(count: int, folder: Path) -> list[Kill]:
    """Stage so many killings."""
    words = [sys.executable, "-m", "tests.companion.midi.stage"]
    pipe = subprocess.PIPE
    nowhere = subprocess.DEVNULL  # JACK complains of servers that were killed
    with subprocess.Popen(words, cwd=ROOT, stdin=pipe, stdout=pipe, stderr=nowhere, text=True) as stages:
        return [_judged(answer) for answer in _answers(stages, count, folder)]


def _answers(stages: subprocess.Popen[str], count: int, folder: Path) -> Iterator[dict[str, Any]]:
    assert stages.stdin is not None
    assert stages.stdout is not None
    lanes, begun, done = [str(lane) for lane in range(AT_ONCE)], 0, 0
    problems: list[str] = []
    while done < count:
        while lanes and begun < count + len(problems):
            stages.stdin.write(f"{lanes.pop()} {folder / str(begun)}\n")
            stages.stdin.flush()
            begun += 1
        answer = json.loads(stages.stdout.readline())
        lanes.append(answer["lane"])
        if "problem" in answer:  # JACK did not start: nobody was killed, so it is staged again
            problems.append(answer["problem"])
            assert len(problems) < count, problems
        else:
            done += 1
            yield answer
    stages.stdin.close()


def _judged(answer: dict[str, Any]) -> Kill:
    """Lay what was kept beside what was sent."""
    killed_s = answer["killed_s"]
    sent = [Sent(*each) for each in answer["sent"]]
    kept = {message for file in Path(answer["folder"]).glob("*.mid") for message in _messages(file)}
    missing = [note for note in sent if not {NoteOn(0, note.number), NoteOff(0, note.number)} <= kept]
    waiting_s = max((killed_s - note.off_s for note in missing), default=0.0)
    promised = [note for note in sent if note.off_s < killed_s - PROMISED_S]
    return Kill(len(promised), sum(note in missing for note in promised), waiting_s)


def _messages(file: Path) -> set[VoiceMessage]:
    """The messages of a take; none where it was killed as the file was made."""
    try:
        return {timed.message for timed in read_take(file).messages}
    except UserError:
        return set()


def main(count: int) -> None:
    """Print what was lost."""
    began_s = time.perf_counter()
    with tempfile.TemporaryDirectory() as folder:
        kills = kill_takes(count, Path(folder))
    took_s = time.perf_counter() - began_s
    broken = [each for each in kills if each.broken]
    waiting = sorted(each.waiting_s for each in kills)
    print(f"{len(kills)} kills in {took_s:.0f} s: {sum(each.promised for each in kills)} notes had ended", end=" ")
    print(f"{PROMISED_S} s before; {sum(each.broken for each in broken)} of them were lost, in {len(broken)} kills")
    print(f"the oldest lost note had ended {waiting[-1]:.3f} s before, in half of the kills", end=" ")
    print(f"{waiting[len(waiting) // 2]:.3f} s or less")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
