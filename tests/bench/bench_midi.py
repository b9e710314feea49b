"""How long a message takes from another process to its time stamp, through JACK, while the window draws at 1080p.

The peer is rtmidi's own callback, listening to the same port at the same time. Run: python3 -m tests.bench.bench_midi
"""

from __future__ import annotations

import time
from typing import Any

import numpy as np
import rtmidi

from companion.midi.ports.driver import Backend
from companion.midi.ports.named_ports import Ports
from companion.midi.ports.system import MidiSystem
from tests.companion.midi.drawing import draw_while
from tests.companion.midi.jack import jack_server, opened, other_end

MESSAGES = 5000
PER_S = 500
GOAL_P99_MS = 6.0
NAME = "chanter maker"
SETTLES_S = 0.5


def callback_peer(stamps_s: list[float]) -> Any:
    """rtmidi's callback on the same port, stamping what it is told."""
    peer = rtmidi.MidiIn(rtapi=rtmidi.API_UNIX_JACK, name="peer")
    peer.open_port(next(i for i, name in enumerate(peer.get_ports()) if name.startswith(NAME)))
    peer.set_callback(lambda event, data: stamps_s.append(time.perf_counter()))
    return peer


def measure() -> tuple[list[float], list[float], list[float]]:
    """When each message was sent, when we stamped it, and when the peer did."""
    ours_s: list[float] = []
    peers_s: list[float] = []
    with jack_server(), other_end(NAME) as other:
        ports = Ports(MidiSystem(Backend.JACK))
        port = opened(ports, NAME)
        peer = callback_peer(peers_s)
        ends_s = time.monotonic() + MESSAGES / PER_S + SETTLES_S
        other.order(f"count {MESSAGES} {PER_S}")

        def going_on() -> bool:
            ports.refresh(time.perf_counter())
            ours_s.extend(timed.at_s for timed in port.fetch())
            return time.monotonic() < ends_s

        draw_while(going_on)
        sent_s = [float(word) for word in other.answer()]
        ports.close()
        peer.close_port()
        peer.delete()
    return sent_s, ours_s, peers_s


def report(name: str, sent_s: list[float], stamped_s: list[float]) -> float | None:
    """Print one line; returns the median in milliseconds, None if messages were lost, which leaves no pairs."""
    if len(sent_s) != len(stamped_s):
        print(f"{name}: {len(stamped_s)} of {len(sent_s)} messages arrived, so no times can be told")
        return None
    late_ms = (np.array(stamped_s) - np.array(sent_s)) * 1000.0
    p50, p99 = np.percentile(late_ms, (50, 99))
    print(f"{name}: p50 {p50:.2f} ms, p99 {p99:.2f} ms, max {late_ms.max():.2f} ms, 0 of {len(sent_s)} lost")
    return float(p50)


def main() -> None:
    """Measure and print."""
    sent_s, ours_s, peers_s = measure()
    print(f"{MESSAGES} messages, {PER_S} a second, JACK at 128 frames (2.67 ms); goal p99 <= {GOAL_P99_MS:g} ms")
    ours = report("polled in a thread", sent_s, ours_s)
    peers = report("rtmidi's callback", sent_s, peers_s)
    if ours and peers:
        print(f"  median {ours / peers:.2f} times the callback's")


if __name__ == "__main__":
    main()
