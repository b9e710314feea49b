"""Kills programs that keep a take from real MIDI, and counts what was lost: ``python -m tests.kills [200]``."""

from __future__ import annotations

import contextlib
import json
import os
import queue
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from companion.midi.stream.messages import NoteOff, NoteOn, VoiceMessage
from companion.midi.takes.reading import read_take
from fingering.errors import UserError
from tests.companion.midi.jack import ROOT

PROMISED_S = 0.25
"""No note that ended longer than this before the kill may be lost, the way through JACK included."""

AT_ONCE = 2
"""Stages at a time: each has a server, an instrument and the program itself, on the two cores of a small computer."""


ANSWERS_WITHIN_S = 40.0
FIRST_WITHIN_S = 240.0
"""The first answer may have to wait for another run on this computer."""

MOST_TROUPES = 5
MOST_PROBLEMS = 20


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
    """Stage so many killings. Where JACK does not start, or stands still, nobody was killed: it is staged again."""
    kills: list[Kill] = []
    for troupe in range(MOST_TROUPES):
        wanted = count - len(kills)
        kills += [_judged(answer) for answer in _answers(wanted, folder / str(troupe))]
        if len(kills) == count:
            break
    return kills


def _answers(count: int, folder: Path) -> Iterator[dict[str, Any]]:
    """Up to `count` answers; fewer where the stages fall silent."""
    words = [sys.executable, "-m", "tests.companion.midi.stage"]
    pipe, nowhere = subprocess.PIPE, subprocess.DEVNULL  # JACK complains of servers that were killed
    # A group of their own, so that whatever hangs can be ended with its children.
    stages = subprocess.Popen(words, cwd=ROOT, stdin=pipe, stdout=pipe, stderr=nowhere, start_new_session=True)
    assert stages.stdin is not None
    assert stages.stdout is not None
    lines: queue.Queue[bytes] = queue.Queue()
    listening = threading.Thread(target=_listen, args=(stages.stdout, lines), daemon=True)
    listening.start()
    lanes, begun, done, wanted = list(range(AT_ONCE)), 0, 0, count
    problems: list[str] = []
    try:
        while done < count:
            while lanes and begun < wanted:
                stages.stdin.write(f"{lanes.pop()} {folder / str(begun)}\n".encode())
                stages.stdin.flush()
                begun += 1
            answer = json.loads(lines.get(timeout=ANSWERS_WITHIN_S if done else FIRST_WITHIN_S))
            lanes.append(int(answer["lane"]))
            if "problem" in answer:
                wanted += 1
                problems.append(answer["problem"])
                assert len(problems) < MOST_PROBLEMS, problems
            else:
                done += 1
                yield answer
        stages.stdin.close()
        stages.wait(ANSWERS_WITHIN_S)
    except (queue.Empty, subprocess.TimeoutExpired):
        return
    finally:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(stages.pid, signal.SIGKILL)
        stages.wait()
        listening.join()
        stages.stdout.close()
        stages.stdin.close()


def _listen(stream: IO[bytes], lines: queue.Queue[bytes]) -> None:
    """Hand on the answers; what JACK itself prints is none."""
    for line in stream:
        if line.startswith(b"{"):
            lines.put(line)


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
