"""The MIDI ports of this computer as the window sees them: nothing here waits for a MIDI system, whatever it does."""

from __future__ import annotations

import contextlib
import json
import os
import queue
import subprocess
import time
from typing import Any

from companion.files.child import start_module
from companion.files.worker import Worker, reason
from companion.midi.ports.driver import Backend
from companion.midi.ports.drivers import check_backend
from companion.midi.ports.links import InputLink, Link, OutputLink
from fingering.errors import UserError

ANSWERS_WITHIN_S = 3.0
"""A MIDI system answers in some ms, a computer under load in some hundred; after this a user wants to be told."""
ENDS_WITHIN_S = 0.5
STARTS_EVERY_S = 5.0
"""How often a process that ended by itself is started again."""
_MOST_UNSENT = 4096
"""Orders kept for a process that does not take them; notes for a synthesiser that hangs are then left out."""

_BLOCK = 65536
_left_alone: list[subprocess.Popen[bytes]] = []
"""Processes that hang; they end when the MIDI system goes on, or after `service.HANGS_AT_MOST_S`."""

NO_ANSWER = UserError("the MIDI system does not answer", "start it again, or play on the computer's keys")
ENDED = UserError("the MIDI system has failed", "plug the instrument in again, or start the MIDI system again")


class MidiSystem:
    """Ports by name, and the process that opens them. For the main thread; threads of its own keep it up to date.

    inputs, outputs: the ports there are, as last told. told: how many times they were. trouble: what is
    wrong, None while all is well. Raises UserError where no driver has this backend's ports.
    """

    def __init__(self, backend: Backend = Backend.SYSTEM) -> None:
        check_backend(backend)
        self.inputs: tuple[str, ...] = ()
        self.outputs: tuple[str, ...] = ()
        self.told = 0
        self._backend = backend
        self._fault: UserError | None = None
        self._is_there = True
        self._asked_s: float | None = None
        self._links: dict[int, Link] = {}
        self._numbers = 0
        self._process = _Process(backend, self._answered, self._lost)

    @property
    def known(self) -> bool:
        """Whether it is known by now which ports there are."""
        return self.told > 0 or not self._is_there

    @property
    def trouble(self) -> UserError | None:
        """What is wrong."""
        if self._fault is None and self._asked_s is not None and time.monotonic() - self._asked_s > ANSWERS_WITHIN_S:
            return NO_ANSWER
        return self._fault

    def ask(self) -> None:
        """Ask which ports there are; the answer comes when it comes."""
        if self._process.ended and self._is_there and self._process.age_s > STARTS_EVERY_S:
            self._process.close(ENDS_WITHIN_S)
            self._process = _Process(self._backend, self._answered, self._lost)
            self._asked_s = None
        if self._asked_s is None and self._is_there:
            self._asked_s = time.monotonic()
            self._process.send("list")

    def wait(self) -> None:
        """Wait until the ports are known, ANSWERS_WITHIN_S at most: for a command that has nothing else to do."""
        self.ask()
        while not self.known and self.trouble is None:
            time.sleep(0.005)

    def open_input(self, name: str) -> InputLink:
        """Begin to open the input of exactly this name."""
        link = InputLink(self._next_number(), name, self._send)
        self._links[link.number] = link
        self._process.send("in", link.number, name)
        return link

    def open_output(self, name: str) -> OutputLink:
        """Begin to open the output of exactly this name."""
        link = OutputLink(self._next_number(), name, self._send)
        self._links[link.number] = link
        self._process.send("out", link.number, name)
        return link

    def close(self) -> None:
        """Leave the MIDI system, without waiting for one that hangs."""
        self._process.close(ENDS_WITHIN_S if self.trouble is None else 0.0)

    def _next_number(self) -> int:
        self._numbers += 1
        return self._numbers

    def _send(self, *order: Any) -> None:
        if order[0] == "close":
            self._links.pop(order[1], None)
        self._process.send(*order)

    def _answered(self, answer: list[Any]) -> None:
        """One answer, on the thread that reads them."""
        match answer:
            case ["ports", inputs, outputs, *trouble]:
                self.inputs, self.outputs = tuple(inputs), tuple(outputs)
                self._fault = UserError(*trouble) if trouble else None
                self._asked_s = None
                self.told += 1
            case ["no ports", what, remedy]:
                self.inputs, self.outputs, self._fault = (), (), UserError(what, remedy)
                self._asked_s = None
                self.told += 1
            case ["none", what, remedy]:
                self._fault, self._is_there = UserError(what, remedy), False
            case [_, int(number), *_]:
                link = self._links.get(number)
                if link:
                    link.answered(answer)

    def _lost(self, fault: BaseException | None) -> None:
        """The process has ended by itself, or what it said could not be read; on the thread that read its answers."""
        if not self._is_there:
            return
        self.inputs = self.outputs = ()
        why = ENDED if fault is None else UserError(f"{ENDED.what} ({reason(fault)})", ENDED.remedy or "")
        self._fault = why
        for link in tuple(self._links.values()):
            link.answered(["lost", link.number, why.what, why.remedy])
        self._links.clear()


class _Process:
    """A process of `service`, with a thread that hands it orders and one that hands on its answers."""

    def __init__(self, backend: Backend, answered: Any, lost: Any) -> None:
        self.ended = False
        self._began_s = time.monotonic()
        self._closing = False
        self._answered = answered
        self._lost = lost
        self._unsent: queue.Queue[bytes | None] = queue.Queue(_MOST_UNSENT)
        self._child = _start(backend)
        self._workers = (Worker(self._write, "midi orders"), Worker(self._read, "midi answers"))
        for worker in self._workers:
            worker.start()
            if worker.error:  # the system has no thread to give
                self._end(worker.error)
                self._close_orders()

    @property
    def age_s(self) -> float:
        """How long ago it was started."""
        return time.monotonic() - self._began_s

    def send(self, *order: Any) -> None:
        """Hand over an order; never waits."""
        with contextlib.suppress(queue.Full):
            self._unsent.put_nowait(f"{json.dumps(order)}\n".encode("ascii"))

    def close(self, waits_s: float) -> None:
        """Let the process leave the MIDI system and end, and wait for that, but no longer.

        One that hangs is not killed: it ends when it goes on, while a JACK server whose client was killed as it hung
        serves nobody any more.
        """
        self._closing = True
        with contextlib.suppress(queue.Full):
            self._unsent.put_nowait(None)
        try:
            self._child.wait(waits_s)
        except subprocess.TimeoutExpired:
            _left_alone.append(self._child)
            return
        for worker in self._workers:
            worker.join()

    def _write(self) -> None:
        assert self._child.stdin is not None
        try:
            while (line := self._unsent.get()) is not None:
                self._child.stdin.write(line)
                self._child.stdin.flush()
        except (OSError, ValueError):
            pass  # the process has ended, which the other thread is told
        except BaseException as error:
            self._end(error)
            raise
        finally:
            self._close_orders()

    def _close_orders(self) -> None:
        """The end of its orders ends the process."""
        assert self._child.stdin is not None
        with contextlib.suppress(OSError, ValueError):
            self._child.stdin.close()

    def _read(self) -> None:
        """Not through a buffered file, which could not be let go of while this thread waits in it."""
        assert self._child.stdout is not None
        fault: BaseException | None = None
        rest = b""
        try:
            with self._child.stdout as answers:
                while data := os.read(answers.fileno(), _BLOCK):
                    *lines, rest = (rest + data).split(b"\n")
                    for line in lines:
                        self._answered(json.loads(line))
        except BaseException as error:
            fault = error
            raise
        finally:
            self._end(fault)

    def _end(self, fault: BaseException | None) -> None:
        """Note that the process is of no more use, and why, as the first of its threads to end tells it."""
        first, self.ended = not self.ended, True
        if first and not self._closing:
            self._lost(fault)


def _start(backend: Backend) -> subprocess.Popen[bytes]:
    return start_module("companion.midi.ports.service", backend.value)
