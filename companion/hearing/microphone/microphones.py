"""The microphones of this computer as the window sees them: nothing here waits for a sound system, whatever it does."""

from __future__ import annotations

import subprocess
import time
from collections.abc import Callable
from typing import Any

from companion.files.child import start_module
from companion.files.lines import one_line
from companion.files.service import ServiceProcess
from companion.files.worker import reason
from companion.hearing.microphone.source import MicrophoneSource, MicrophoneState
from companion.midi.stream.port_names import port_returned
from fingering.errors import UserError

REFRESH_S = 2.0
"""How often it is asked which microphones there are."""

ANSWERS_WITHIN_S = 4.0
"""A sound system answers in some ms, the process is there in some tenths of a second, on a busy computer in some s."""

ENDS_WITHIN_S = 1.0
STARTS_EVERY_S = 5.0
"""How often a process that ended by itself is started again."""

NO_ANSWER = UserError("the sound system does not answer", "start it again, or play on the computer's keys")
ENDED = UserError("the sound system has failed", "plug the microphone in again, or start the sound system again")


class Microphones:
    """All microphones, kept up to date from the main thread by `refresh`, which never waits for them.

    names: the microphones there are, as last told. known: whether it is known by now which there are.
    """

    def __init__(self, clock: Callable[[], float] = time.perf_counter) -> None:
        self.names: tuple[str, ...] = ()
        self._clock = clock
        self._told = 0
        self._fault: UserError | None = None
        self._can_be = True
        self._asked_s: float | None = None
        self._refreshed_s = float("-inf")
        self._numbers = 0
        self._sources: dict[int, MicrophoneSource] = {}
        self._tried_at: dict[int, int] = {}
        self._process = self._begun()

    @property
    def known(self) -> bool:
        """Whether it is known by now which microphones there are."""
        return self._told > 0 or not self._can_be

    @property
    def trouble(self) -> str:
        """The line for the screen about all microphones, "" while all is well."""
        if self._fault is None and self._asked_s is not None and self._clock() - self._asked_s > ANSWERS_WITHIN_S:
            return str(NO_ANSWER)
        return "" if self._fault is None else one_line(str(self._fault))

    def refresh(self) -> None:
        """Once a frame: open what came, let go what went. Once every REFRESH_S ask which microphones there are."""
        now_s = self._clock()
        if now_s - self._refreshed_s >= REFRESH_S:
            self._refreshed_s = now_s
            self.ask()
        for source in self._sources.values():
            self._meet(source)

    def ask(self) -> None:
        """Ask which microphones there are; the answer comes when it comes."""
        if self._process.ended and self._can_be and self._process.age_s > STARTS_EVERY_S:
            self._process.close(ENDS_WITHIN_S)
            self._process = self._begun()
            self._asked_s = None
        if self._asked_s is None and self._can_be:
            self._asked_s = self._clock()
            self._send("list")

    def wait(self) -> None:
        """Wait until the microphones are known, ANSWERS_WITHIN_S at most: for a command with nothing else to do."""
        self.ask()
        while not self.known and not self.trouble:
            time.sleep(0.005)

    def listen(self, name: str) -> MicrophoneSource:
        """Listen to the microphone of exactly this name as soon as it is there: at once, later or never."""
        self._numbers += 1
        source = MicrophoneSource(self._numbers, name, self._send, self._clock)
        self._sources[source.number] = source
        self._meet(source)
        return source

    def drop(self, source: MicrophoneSource) -> None:
        """Listen to it no longer; what came before can still be fetched, and what is recorded of it is closed well."""
        self._sources.pop(source.number, None)
        self._tried_at.pop(source.number, None)
        self._send("close", source.number)

    def close(self) -> None:
        """Leave the sound system, without waiting for one that hangs."""
        self._process.close(0.0 if self.trouble else ENDS_WITHIN_S)
        self._sources.clear()

    def _begun(self) -> ServiceProcess:
        return ServiceProcess(_start(), "microphone", self._answered, self._lost)

    def _send(self, *order: Any) -> None:
        self._process.send(*order)

    def _meet(self, source: MicrophoneSource) -> None:
        """Ask for a microphone that is there and not open, once for each time that they were listed."""
        if not self._can_be:
            source.lose(self.trouble)
            return
        tried = self._tried_at.get(source.number, 0)
        away = source.state is MicrophoneState.LOST or not tried
        if not (away and self._told > tried):
            return
        now_called = port_returned(source.name, self.names)
        if now_called is None:
            source.lose(f"{one_line(source.name)} is not there; plug it in again")
        else:
            self._tried_at[source.number] = self._told
            source.name = now_called
            source.open()

    def _answered(self, answer: list[Any]) -> None:
        """One answer, on the thread that reads them."""
        match answer:
            case ["names", list(names), *trouble]:
                self.names = tuple(names)
                self._fault = UserError(*trouble) if trouble else None
                self._asked_s = None
                self._told += 1
            case ["none", what, remedy]:
                self._fault, self._can_be = UserError(what, remedy), False
            case [_, int(number), *_]:
                source = self._sources.get(number)
                if source:
                    source.answered(answer)

    def _lost(self, fault: BaseException | None) -> None:
        """The process has ended by itself, or what it said could not be read; on the thread that read its answers."""
        if not self._can_be:
            return
        self.names = ()
        self._fault = ENDED if fault is None else UserError(f"{ENDED.what} ({reason(fault)})", ENDED.remedy)
        for source in tuple(self._sources.values()):
            source.lose(one_line(str(self._fault)))


def _start() -> subprocess.Popen[bytes]:
    return start_module("companion.hearing.microphone.service")
