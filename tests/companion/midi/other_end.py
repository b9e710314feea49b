"""A process at the other end of the cable: one MIDI port out and one in, that obeys the lines on its standard input.

``send HEX`` sends one message and answers "sent". ``count N RATE`` sends N numbered messages, RATE a second, and
answers with the moment each was sent (time.perf_counter, which all processes of a computer share on Linux).
``hear N`` waits for N messages, or as long as HEARS_WITHIN_S, and answers with them in hexadecimal. It ends with its
input.
"""

from __future__ import annotations

import sys
import time
from typing import Any

HEARS_WITHIN_S = 20.0
"""A message that is lost must fail a test, not stop it for good."""


def numbered(number: int) -> list[int]:
    """Message `number`: note ons and note offs in turn that count up to 16,129 pairs in their two data bytes."""
    pair = number // 2
    return [0x90 if number % 2 == 0 else 0x80, pair % 127, 1 + pair // 127 % 127]


def send_numbered(port: Any, count: int, rate: float) -> list[float]:
    """Send `count` numbered messages, evenly; returns when each was sent."""
    starts_s = time.perf_counter() + 0.01
    sent_s = []
    for number in range(count):
        while time.perf_counter() < starts_s + number / rate:
            time.sleep(0.0001)
        sent_s.append(time.perf_counter())
        port.send_message(numbered(number))
    return sent_s


def hear(port: Any, count: int) -> list[str]:
    """Wait for `count` messages."""
    heard: list[str] = []
    gives_up_s = time.perf_counter() + HEARS_WITHIN_S
    while len(heard) < count and time.perf_counter() < gives_up_s:
        got = port.get_message()
        if got:
            heard.append(bytes(got[0]).hex())
        else:
            time.sleep(0.001)
    return heard


def main(name: str) -> None:
    """Open the ports and obey."""
    import rtmidi  # here, so that a test may import this module where there is none

    port_out = rtmidi.MidiOut(rtapi=rtmidi.API_UNIX_JACK, name=name)
    port_out.open_virtual_port("out")
    port_in = rtmidi.MidiIn(rtapi=rtmidi.API_UNIX_JACK, name=name)
    port_in.open_virtual_port("in")
    print("ready", flush=True)
    for line in sys.stdin:
        order, *words = line.split()
        if order == "send":
            port_out.send_message(list(bytes.fromhex("".join(words))))
            print("sent", flush=True)
        elif order == "hear":
            print(*hear(port_in, int(words[0])), flush=True)
        else:
            print(*send_numbered(port_out, int(words[0]), float(words[1])), flush=True)
    for port in (port_out, port_in):
        port.close_port()
        port.delete()


if __name__ == "__main__":
    main(sys.argv[1])
