"""The process that owns the MIDI ports: it obeys orders on its standard input, and tells on its standard output.

A call into a MIDI system that hangs holds up every thread of its process (rtmidi keeps Python's lock while it opens and
closes a port: a stopped JACK server stopped the window). So the calls are made here, and the window only waits for
lines. `companion.midi.ports.system` is the other end.

Orders and answers are JSON lists, one a line. Orders: ["list"], ["in", LINK, NAME], ["out", LINK, NAME],
["send", LINK, HEX], ["close", LINK]; the end of the input ends the process. Answers: ["ports", INPUTS, OUTPUTS], with
WHAT and REMEDY after them where something is wrong all the same, ["no ports", WHAT, REMEDY], ["open", LINK],
["refused", LINK, WHAT, REMEDY], ["came", LINK, SECONDS, HEX], ["lost", LINK, WHAT, REMEDY]; ["none", WHAT, REMEDY] says
that this computer has no MIDI, and is the last one.

What comes in is stamped here, which drawing cannot delay, by time.perf_counter: all processes of a computer share it.
The ports are polled, since rtmidi's own callback lost and doubled messages while a window drew.
"""

from __future__ import annotations

import faulthandler
import json
import signal
import sys
import time
from typing import Any

from companion.files.child import set_aside_output, write_all
from companion.files.service import Orders
from companion.midi.ports.driver import Backend, Driver, InputHandle, OutputHandle
from companion.midi.ports.drivers import open_driver
from fingering.errors import UserError

POLL_S = 0.0005
HANGS_AT_MOST_S = 600.0
"""A call that takes longer will never come back, and a process that nobody waits for must not stay for good."""

MOST_AT_ONCE = 4096
"""Messages told of one port before the next order is looked at, so that a flood cannot prevent it."""


class Service:
    """Obeys orders by the driver. What is to be told is kept until `tell`."""

    def __init__(self, driver: Driver) -> None:
        self._driver = driver
        self._inputs: dict[int, InputHandle] = {}
        self._outputs: dict[int, OutputHandle] = {}
        self._untold: list[list[Any]] = []

    def obey(self, order: list[Any]) -> None:
        """Do what one order says."""
        match order:
            case ["list"]:
                # Ends this process from outside Python, whose lock a call that hangs may hold.
                faulthandler.dump_traceback_later(HANGS_AT_MOST_S, exit=True)
                self._list()
            case ["in", int(link), str(name)]:
                self._open(link, name, self._inputs, self._driver.open_input)
            case ["out", int(link), str(name)]:
                self._open(link, name, self._outputs, self._driver.open_output)
            case ["send", int(link), str(data)]:
                self._send(link, bytes.fromhex(data))
            case ["close", int(link)]:
                self._close(link)

    def read(self) -> None:
        """Take what came in at the open ports."""
        for link, handle in tuple(self._inputs.items()):
            try:
                for _ in range(MOST_AT_ONCE):
                    stamped = handle.read()
                    if stamped is None:
                        break
                    self._untold.append(["came", link, stamped.at_s, stamped.data.hex()])
            except UserError as error:
                self._lose(link, error)

    def told(self) -> bytes:
        """What is to be told since the last call."""
        lines = "".join(f"{json.dumps(each)}\n" for each in self._untold)
        self._untold.clear()
        return lines.encode("ascii")

    def close(self) -> None:
        """Let every port go and leave the MIDI system."""
        for link in (*self._inputs, *self._outputs):
            self._close(link)
        self._driver.close()

    def _list(self) -> None:
        try:
            names = self._driver.names()
            trouble = self._driver.trouble
            more = [trouble.what, trouble.remedy] if trouble else []
            self._untold.append(["ports", names.inputs, names.outputs, *more])
        except UserError as error:
            self._untold.append(["no ports", error.what, error.remedy])

    def _open(self, link: int, name: str, handles: dict[int, Any], opener: Any) -> None:
        try:
            handles[link] = opener(name)
            self._untold.append(["open", link])
        except UserError as error:
            self._untold.append(["refused", link, error.what, error.remedy])

    def _send(self, link: int, data: bytes) -> None:
        handle = self._outputs.get(link)
        try:
            if handle:
                handle.send(data)
        except UserError as error:
            self._lose(link, error)

    def _lose(self, link: int, error: UserError) -> None:
        self._untold.append(["lost", link, error.what, error.remedy])
        self._close(link)

    def _close(self, link: int) -> None:
        handle = self._inputs.pop(link, None) or self._outputs.pop(link, None)
        if handle:
            handle.close()


def run(backend: Backend) -> None:
    """Serve until the orders end, or nobody listens any more."""
    answers = set_aside_output()
    try:
        driver = open_driver(backend)
    except UserError as error:
        write_all(answers, f"{json.dumps(['none', error.what, error.remedy])}\n".encode("ascii"))
        return
    service, orders = Service(driver), Orders()
    try:
        while not orders.over:
            while orders.waiting:
                service.obey(orders.waiting.popleft())
            service.read()
            write_all(answers, service.told())
            time.sleep(POLL_S)
    except BrokenPipeError:
        pass
    while orders.waiting:  # the last notes that are to be sent off
        service.obey(orders.waiting.popleft())
    service.close()


if __name__ == "__main__":
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the window's to hear, which then ends this
    run(Backend(sys.argv[1]))
