"""The MIDI ports of this computer as the window sees them: nothing here waits for a MIDI system, whatever it does."""

from __future__ import annotations

import subprocess
import time
from typing import Any

from companion.files.child import start_module
from companion.files.service import ServiceProcess
from companion.files.worker import reason
from companion.midi.ports.driver import Backend
from companion.midi.ports.drivers import check_backend
from companion.midi.ports.links import InputLink, Link, OutputLink
from fingering.errors import UserError

ANSWERS_WITHIN_S = 3.0
"""A MIDI system answers in some ms, a computer under load in some hundred; after this a user wants to be told."""
ENDS_WITHIN_S = 0.5
STARTS_EVERY_S = 5.0
"""How often a process that ended by itself is started again."""

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
        self._process = self._begun()

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
            self._process = self._begun()
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

    def _begun(self) -> ServiceProcess:
        return ServiceProcess(_start(self._backend), "midi", self._answered, self._lost)

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


def _start(backend: Backend) -> subprocess.Popen[bytes]:
    return start_module("companion.midi.ports.service", backend.value)
