"""A warm process that stages one killing after another: real MIDI, a program that keeps it as a take, SIGKILL.

For every line "LANE FOLDER" on its standard input it forks a stage at once. A stage is a JACK server of its own, named
by the lane, since one whose client was killed stands still; an instrument that plays numbered notes; and a child that
listens to it as the window does, frame by frame, and keeps a take in the folder. At a moment by chance the stage kills
the child, and answers with one line of JSON: the lane and the folder, when the child listened, when it was killed, and
the notes that were played. All times are of time.perf_counter, which all processes of a computer share on Linux.
"""

from __future__ import annotations

import fcntl
import importlib
import json
import os
import random
import signal
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from companion.midi.ports.driver import Backend
from companion.midi.ports.named_ports import Ports
from companion.midi.ports.system import MidiSystem
from companion.midi.stream.held import Held
from companion.midi.stream.messages import NoteOff, NoteOn, encode
from companion.schedule.timing import Timing
from companion.window.live.source_choice import Came
from companion.window.live.takes.run_take import PlayedOn
from companion.window.live.takes.take_keeper import TakeKeeper
from companion.window.live.tune_run import TuneRun
from tests.companion.midi.jack import ENVIRONMENT, connected, opened, start_jackd
from tests.companion.tune_building import notes, tune

PLAYER = "take-player"
FRAME_S = 1 / 60
EARLIEST_S, LATEST_S = 0.3, 1.2
"""When the child is killed, after it began to listen."""


def keep(folder: Path) -> None:
    """Keep a take for ever; says on standard output when it began to listen."""
    ports = Ports(MidiSystem(Backend.JACK))
    port = opened(ports, PLAYER)
    asked = tune(notes("gcd:c e gAd:A A"))
    keeper, held = TakeKeeper(folder), Held()
    began_s = time.perf_counter()
    os.write(1, f"{began_s}\n".encode())
    while True:
        ports.refresh(time.perf_counter())
        came = Came(held.messages, tuple(port.fetch()))
        for timed in came.messages:
            held.hear(timed.message)
        now_s = time.perf_counter()
        keeper.follow(TuneRun(asked, Timing(), now_s, now_s - began_s), PlayedOn(port.name, None), came)
        time.sleep(FRAME_S)


def forked(folder: Path) -> tuple[int, float]:
    """A child that keeps a take: its process id, and when it began to listen."""
    reading, writing = os.pipe()
    pid = os.fork()
    if pid == 0:
        os.dup2(writing, 1)
        try:
            keep(folder)
        except Exception as error:  # whatever it is, the stage waits for an answer
            os.write(1, f"{error!r}\n".encode())
        os._exit(1)
    os.close(writing)
    with os.fdopen(reading) as answer:
        return pid, float(answer.readline())


def play(port: Any, until_s: float) -> list[tuple[int, float, float]]:
    """Play notes of 20 to 120 ms, numbered upward, up to a moment: number, when it was sent on, when off."""
    sent: list[tuple[int, float, float]] = []
    number = 0
    while True:
        on_s = _wait(random.uniform(0.0, 0.02), until_s)
        port.send_message(list(encode(NoteOn(0, number))))
        off_s = _wait(random.uniform(0.02, 0.12), until_s)
        if off_s >= until_s:
            return sent
        port.send_message(list(encode(NoteOff(0, number))))
        sent.append((number, on_s, off_s))
        number += 1


def _wait(seconds: float, until_s: float) -> float:
    """Wait for so long, or until a moment if that comes first; returns the time then."""
    due_s = min(time.perf_counter() + seconds, until_s)
    while (now_s := time.perf_counter()) < due_s:
        time.sleep(min(0.0005, due_s - now_s))
    return now_s


def use_server(name: str) -> None:
    """From now on speak to the server of that name."""
    os.environ.update({**ENVIRONMENT, "JACK_DEFAULT_SERVER": name})


def stage(name: str, folder: Path) -> str:
    """One killing on a server of that name; the answer."""
    use_server(name)
    random.seed(os.getpid())
    server = start_jackd(name)
    try:
        connected(server)
        rtmidi: Any = importlib.import_module("rtmidi")
        port = rtmidi.MidiOut(rtapi=rtmidi.API_UNIX_JACK, name=PLAYER)
        port.open_virtual_port("out")
        pid, listened_s = forked(folder)
        sent = play(port, time.perf_counter() + random.uniform(EARLIEST_S, LATEST_S))
        killed_s = time.perf_counter()
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)
    finally:
        server.kill()  # it obeys no signal to end any more
        server.wait()
    return json.dumps(
        {
            "lane": name.rpartition("-")[2],
            "folder": str(folder),
            "listened_s": listened_s,
            "killed_s": killed_s,
            "sent": sent,
        }
    )


def clear_away(name: str) -> None:
    """A server that is killed keeps one of the eight places that JACK has, until one of the same name gives it back.

    So the names are the same in every run: one that was cut short costs no place for good.
    """
    use_server(name)
    server = start_jackd(name)
    connected(server).close()
    server.terminate()
    server.wait()
    for left in Path("/dev/shm").glob(f"jack_sem.*_{name}_*"):
        left.unlink(missing_ok=True)


def main() -> None:
    """Fork a stage for each line, "LANE FOLDER"."""
    names: set[str] = set()
    lock = (Path(tempfile.gettempdir()) / "eightholes-kill.lock").open("w")
    fcntl.flock(lock, fcntl.LOCK_EX)  # another run on this computer has servers of the same names
    for line in sys.stdin:
        lane, folder = line.rstrip("\n").split(" ", 1)
        name = f"eightholes-kill-{lane}"
        names.add(name)
        if os.fork() == 0:
            try:
                answer = stage(name, Path(folder))
            except Exception as error:  # whatever it is, the other end waits for an answer
                answer = json.dumps({"lane": lane, "problem": repr(error)})
            os.write(1, f"{answer}\n".encode())
            os._exit(0)  # without leaving JACK, whose server is gone
    for name in sorted(names):
        clear_away(name)


if __name__ == "__main__":
    main()
