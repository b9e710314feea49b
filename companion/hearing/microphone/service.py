"""The process that owns the microphones: it obeys orders on its standard input, and tells on its standard output.

Here, and not in the window, since neither drawing nor Python's lock may delay what is heard, and a sound system that
hangs may stop nothing else. `companion.hearing.microphone.microphones` is the other end.

Orders and answers are JSON lists, one a line; all but the first orders and answers name a LINK, which is a number that
the window gives a microphone. Orders: ["list"], ["open", LINK, NAME], ["keep", LINK, VOICE] (hear by what was learnt
before), ["scale", LINK, WHETHER] (learn from a scale), ["record", LINK, PATH, BEGAN_S], ["stop", LINK, AT_S],
["played", LINK, AT_S, RATE_HZ, SAMPLES] (what the loudspeaker plays), ["close", LINK]; the end of the
input ends the process.

Answers: ["names", NAMES], with WHAT and REMEDY after them where there are none; ["none", WHAT, REMEDY] where there
can be none, and it is the last one; ["refused", LINK, WHAT, REMEDY], ["lost", LINK, WHAT, REMEDY], ["state", LINK,
STATE, SHARE_LEARNT, LEVEL_DB, CLIPPED] ten times a second, ["heard", LINK, AT_S, LETTER or null, CONFIDENCE],
["learnt", LINK, VOICE], ["scale", LINK, KNOWN, WANTED, SOUNDING, SHARE_HELD, TROUBLE, DONE] (notes as letters), ["not
kept", LINK, WHAT, REMEDY], ["overrun", LINK, SECONDS], ["recording", LINK, PATH, BEGINS_S], ["recorded", LINK, PATH,
LENGTH_S], ["unrecorded", LINK, PATH, WHAT, REMEDY, PLACE]. VOICE and SAMPLES are in base 64, times those of
time.perf_counter, which all processes of a computer share.
"""

from __future__ import annotations

import contextlib
import faulthandler
import json
import queue
import signal
import sys
import time
from collections import deque
from collections.abc import Callable
from threading import Event
from typing import Any

from companion.files.child import set_aside_output, write_all
from companion.files.lines import one_line
from companion.files.service import Orders
from companion.files.worker import RUNNING, Worker
from companion.hearing.microphone.driver import MicrophoneDriver
from companion.hearing.microphone.heard_microphone import HeardMicrophone
from fingering.errors import UserError

HANGS_AT_MOST_S = 600.0
"""A call that takes longer will never come back, and a process that nobody waits for must not stay for good."""

SWITCH_S = 0.0005
"""How long a thread may keep Python's lock while another one waits for it: what comes must be stamped at once."""

LOOKS_EVERY_S = 0.25
FIRST_WITHIN_S = 8.0
SILENT_AFTER_S = 2.5
"""One that hands over nothing for so long is gone, whatever its system says; to begin takes some systems 2 s."""

MOST_WAITING = 2000
"""Blocks that wait to be heard, some 20 s, while the computer is busy with something else."""

Tell = Callable[[list[Any]], None]


class MicrophoneLink:
    """A microphone that is open: a thread of the sound system puts in what comes, and the service's takes it out.

    Raises UserError where it refuses. tell: tells an answer. wake: is called whenever there is something to do.
    """

    def __init__(self, number: int, name: str, driver: MicrophoneDriver, tell: Tell, wake: Callable[[], None]) -> None:
        self.number = number
        self.name = name
        self.stopped = False
        self.heard = HeardMicrophone(lambda kind, *rest: tell([kind, number, *rest]))
        self._wake = wake
        self._last_s = time.perf_counter() + FIRST_WITHIN_S - SILENT_AFTER_S
        self._waiting: queue.SimpleQueue[tuple[float, bytes]] = queue.SimpleQueue()
        self._dropped = self._told_dropped = 0
        self._device = driver.open(name, self._came, self._stop)

    @property
    def lost(self) -> bool:
        """Whether its system says that it is gone, or it has brought nothing for so long that it must be."""
        return self.stopped or time.perf_counter() - self._last_s > SILENT_AFTER_S

    def work(self) -> None:
        """Hear what has come since the last call."""
        came = [self._waiting.get() for _ in range(self._waiting.qsize())]
        dropped = self._dropped - self._told_dropped
        if came or dropped:
            self._told_dropped += dropped
            mono = self._device.mono
            self.heard.take([(at_s, mono(data)) for at_s, data in came], self._device.frames(dropped))

    def close(self) -> Worker[None]:
        """Let it go, once all that came is heard and recorded: in a thread, since a sound system may hang in that."""
        self.work()
        self.heard.close()
        leaving = Worker(self._device.close, "leaving a microphone")
        leaving.start()
        return leaving

    def _came(self, at_s: float, data: bytes) -> None:
        """On a thread of the sound system, which must not wait."""
        self._last_s = at_s
        if self._waiting.qsize() < MOST_WAITING:
            self._waiting.put((at_s, data))
        else:
            self._dropped += len(data)
        self._wake()

    def _stop(self) -> None:
        self.stopped = True
        self._wake()


class MicrophoneService:
    """Obeys orders by the driver; what is to be told is kept until `told`."""

    def __init__(self, driver: MicrophoneDriver, wake: Callable[[], None]) -> None:
        self._driver = driver
        self._wake = wake
        self._links: dict[int, MicrophoneLink] = {}
        self._leaving: list[Worker[None]] = []
        self._untold: deque[list[Any]] = deque()
        self._asked: queue.SimpleQueue[None] = queue.SimpleQueue()
        self._lister = Worker(self._list, "list of microphones")
        self._lister.start()

    def obey(self, order: list[Any]) -> None:
        """Do what one order says."""
        match order:
            case ["list"]:
                self._asked.put(None)
            case ["open", int(number), str(name)]:
                self._close(number)
                self._open(number, name)
            case [str(kind), int(number), *what]:
                link = self._links.get(number)
                if kind == "close":
                    self._close(number)
                elif link:
                    _hand_on(link.heard, kind, what)
                elif kind == "record":
                    self._tell(["unrecorded", number, what[0], "the microphone is not there", "plug it in again", ""])

    def work(self) -> None:
        """Hear what came, and see which microphones are gone. Raises what ended the thread that lists them."""
        if self._lister.error:
            raise self._lister.error
        for link in tuple(self._links.values()):
            link.work()
            if link.lost:
                self._close(link.number)
                self._driver.forget()
                what = f"{one_line(link.name)} is gone"
                self._tell(["lost", link.number, what, "plug it in again"])

    def told(self) -> bytes:
        """What is to be told since the last call."""
        lines = [json.dumps(self._untold.popleft()) for _ in range(len(self._untold))]
        return "".join(f"{line}\n" for line in lines).encode("ascii")

    def close(self) -> None:
        """Let every microphone go, and close what is recorded."""
        for number in tuple(self._links):
            self._close(number)

    def wait(self) -> None:
        """Wait until they are gone."""
        for leaving in self._leaving:
            leaving.join()

    def _open(self, number: int, name: str) -> None:
        _give_up_later()
        try:
            self._links[number] = MicrophoneLink(number, name, self._driver, self._tell, self._wake)
        except UserError as error:
            self._tell(["refused", number, error.what, error.remedy])
        faulthandler.cancel_dump_traceback_later()

    def _close(self, number: int) -> None:
        link = self._links.pop(number, None)
        if link:
            still = [each for each in self._leaving if each.outcome is RUNNING]
            self._leaving = [*still, link.close()]

    def _list(self) -> None:
        """In a thread of its own, since a sound system that hangs may not stop what is heard through another."""
        while True:
            self._asked.get()
            try:
                self._tell(["names", self._driver.names()])
            except UserError as error:
                self._tell(["names", [], error.what, error.remedy])

    def _tell(self, answer: list[Any]) -> None:
        self._untold.append(answer)
        self._wake()


def _give_up_later() -> None:
    """End this process if a call hangs: from outside Python, whose lock the call may hold."""
    faulthandler.dump_traceback_later(HANGS_AT_MOST_S, exit=True)


def _hand_on(heard: HeardMicrophone, kind: str, what: list[Any]) -> None:
    """An order about a microphone that is open."""
    match kind, what:
        case "keep", [str(voice)]:
            heard.keep(voice)
        case "scale", [bool(wanted)]:
            heard.hear_scale(wanted)
        case "record", [str(path), float(began_s)]:
            heard.record(path, began_s)
        case "stop", [float(at_s)]:
            heard.stop(at_s)
        case "played", [float(at_s), rate_hz, str(samples)]:
            heard.played(at_s, rate_hz, samples)


def run() -> None:
    """Serve until the orders end, or nobody listens any more."""
    answers = set_aside_output()
    try:
        driver = MicrophoneDriver()
    except UserError as error:
        write_all(answers, f"{json.dumps(['none', error.what, error.remedy])}\n".encode("ascii"))
        return
    something = Event()
    service, orders = MicrophoneService(driver, something.set), Orders(something.set)
    try:
        while not orders.over:
            something.wait(LOOKS_EVERY_S)
            something.clear()
            while orders.waiting:
                service.obey(orders.waiting.popleft())
            service.work()
            write_all(answers, service.told())
    except BrokenPipeError:
        pass
    _give_up_later()
    while orders.waiting:  # the end of what is recorded
        service.obey(orders.waiting.popleft())
    service.close()
    with contextlib.suppress(BrokenPipeError):
        write_all(answers, service.told())
    service.wait()


if __name__ == "__main__":
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the window's to hear, which then ends this
    sys.setswitchinterval(SWITCH_S)
    run()
