"""A process that lists PortMidi's devices over and over, beside the one that has some of them open.

PortMidi lists its devices when it is initialised and never again, and to initialise it anew closes every open port. So
what is plugged in and pulled out meanwhile is seen by a process that opens none. It lists whenever it is sent a line,
and answers with one, a JSON list of inputs and outputs; the end of its standard input ends it.
"""

from __future__ import annotations

import contextlib
import dataclasses
import faulthandler
import json
import signal
import subprocess
import sys

from companion.files.child import set_aside_output, start_module, write_all
from companion.files.worker import Failed, Running, Worker, reason
from companion.midi.ports.driver import PortNames
from companion.midi.ports.portmidi.library import load, renewed
from fingering.errors import UserError

HANGS_AT_MOST_S = 60.0
"""A list that takes longer will never come; the process then ends from outside Python, whose lock it may hold."""
ENDS_WITHIN_S = 0.5


class PortMidiWatch:
    """The other end of that process. `since` tells which names are known; a thread takes the answers."""

    def __init__(self, known: PortNames) -> None:
        self.changed = False
        self.names = known
        self._child = start_module(__name__)
        self._worker = Worker(self._read, "midi devices")
        self._worker.start()

    @property
    def trouble(self) -> UserError | None:
        """Why it tells nothing any more: the process has ended, or what it said could not be read."""
        match self._worker.outcome:
            case Running():
                return None
            case Failed(error):
                why = reason(error)
            case _:
                why = "the process that looks has ended"
        return UserError(f"what is plugged in now is not seen ({why})", "open the window again if this stays")

    def since(self, known: PortNames) -> None:
        """From now on `names` is this until it is told otherwise, and `changed` whether it ever was."""
        self.changed, self.names = False, known

    def ask(self) -> None:
        """Have the devices listed; `names` follows when it is told."""
        assert self._child.stdin is not None
        with contextlib.suppress(OSError):  # it has ended; what was told last still stands
            self._child.stdin.write(b"\n")
            self._child.stdin.flush()

    def close(self) -> None:
        """End the process, without waiting for one that hangs."""
        assert self._child.stdin is not None
        with contextlib.suppress(OSError):
            self._child.stdin.close()
        try:
            self._child.wait(ENDS_WITHIN_S)
        except subprocess.TimeoutExpired:
            self._child.kill()
            self._child.wait()
        self._worker.join()

    def _read(self) -> None:
        assert self._child.stdout is not None
        with self._child.stdout as answers:
            for line in answers:
                inputs, outputs = json.loads(line)
                told = PortNames(tuple(inputs), tuple(outputs))
                self.changed |= told != self.names
                self.names = told


def run() -> None:
    """List whenever a line comes, until no more will."""
    answers = set_aside_output()
    midi = load()
    with contextlib.suppress(BrokenPipeError):
        for _ in sys.stdin.buffer:
            faulthandler.dump_traceback_later(HANGS_AT_MOST_S, exit=True)
            names = renewed(midi).names
            faulthandler.cancel_dump_traceback_later()
            write_all(answers, f"{json.dumps(dataclasses.astuple(names))}\n".encode("ascii"))


if __name__ == "__main__":
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    run()
