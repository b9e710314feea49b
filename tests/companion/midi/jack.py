"""A JACK server of our own without a sound card, and another process that plays into it: real ports, real messages."""

from __future__ import annotations

import contextlib
import ctypes
import fcntl
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from companion.midi.ports.driver import Backend, Driver
from companion.midi.ports.drivers import open_driver
from companion.midi.ports.named_ports import InputPort, Listening, Ports, PortState
from fingering.errors import UserError
from tests.referees import require_module, require_program

ROOT = Path(__file__).resolve().parents[3]
SERVER = f"eightholes-test-{os.getpid()}"
ENVIRONMENT = {"JACK_DEFAULT_SERVER": SERVER, "JACK_NO_START_SERVER": "1", "JACK_NO_AUDIO_RESERVATION": "1"}
STARTS_WITHIN_S = 10.0
ENDS_WITHIN_S = 1.5
"""A server that obeys takes a tenth of it."""

_START_LOCK = Path(tempfile.gettempdir()) / "eightholes-jack.lock"
_RUN_LOCK = Path(tempfile.gettempdir()) / "eightholes-jack-runs.lock"
_DIE_WITH_PARENT = 1  # PR_SET_PDEATHSIG of prctl(2) on Linux


@contextlib.contextmanager
def jack_server(period: int = 128) -> Iterator[Driver]:
    """Run jackd with its dummy driver, synchronous (-S loses no message), and hand out a driver of it.

    period: samples in each of its cycles; with fewer it loses more time on a busy computer.

    While one runs, the tests on another Python wait with theirs: all servers of a machine share a registry, and of two
    beside each other on two busy processors one has now and then stopped answering.
    """
    before = {name: os.environ.get(name) for name in ENVIRONMENT}
    with _RUN_LOCK.open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        os.environ.update(ENVIRONMENT)
        server = start_jackd(SERVER, period)
        try:
            driver = connected(server)
            yield driver
            driver.close()
        finally:
            end_jackd(server, SERVER)
            for name, value in before.items():
                os.environ.pop(name) if value is None else os.environ.update({name: value})


def start_jackd(name: str, period: int = 128) -> subprocess.Popen[bytes]:
    """A JACK server of that name, which ends with the process that starts it, however that ends."""
    require_module("rtmidi")
    words = [require_program("jackd"), "--name", name, "--no-realtime", "-S", "-r"]
    words += ["-d", "dummy", "-r", "48000", "-p", str(period)]
    nowhere = subprocess.DEVNULL
    libc = ctypes.CDLL(None)
    with _START_LOCK.open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)  # or the tests on another Python would clear away what this server begins with
        # All servers of a user share this. One that was killed may have left it locked, and then each that begins
        # waits for ever; those that run keep what they have of it.
        shutil.rmtree(f"/dev/shm/jack_db-{os.getuid()}", ignore_errors=True)
        return subprocess.Popen(
            words, stdout=nowhere, stderr=nowhere, preexec_fn=lambda: libc.prctl(_DIE_WITH_PARENT, signal.SIGKILL)
        )


def end_jackd(server: subprocess.Popen[bytes], name: str) -> None:
    """End a JACK server. One whose client was killed obeys no more and is killed, since a test must not wait for good.

    A killed server keeps one of the eight places that JACK has, until one of the same name gives it back.
    """
    server.terminate()
    try:
        server.wait(ENDS_WITHIN_S)
    except subprocess.TimeoutExpired:
        server.kill()
        server.wait()
        successor = start_jackd(name)
        connected(successor).close()
        successor.terminate()
        successor.wait()


def connected(server: subprocess.Popen[bytes]) -> Driver:
    """A driver of a server that was just started, as soon as it answers."""
    gives_up_s = time.monotonic() + STARTS_WITHIN_S
    while True:
        try:
            return open_driver(Backend.JACK)
        except UserError:
            assert server.poll() is None, "jackd ended at once"
            assert time.monotonic() < gives_up_s, "jackd does not answer"
            time.sleep(0.02)


def opened(ports: Ports, wanted: str, how: Listening | None = None) -> InputPort:
    """The port that is meant, once it is open."""
    until(ports, lambda: any(wanted in name for name in ports.inputs))
    port = ports.listen(wanted, how or Listening())
    until(ports, lambda: port.state is PortState.OPEN)
    return port


def until(ports: Ports, done: Callable[[], bool]) -> None:
    """Frames of a window that draws nothing, until something is done."""
    gives_up_s = time.monotonic() + STARTS_WITHIN_S
    while not done():
        assert time.monotonic() < gives_up_s, ports.trouble or ports.inputs
        ports.refresh(time.perf_counter())
        time.sleep(0.002)


class OtherEnd:
    """Another process with MIDI ports, that does what it is told: see `other_end.py`."""

    def __init__(self, name: str) -> None:
        words = [sys.executable, "-m", "tests.companion.midi.other_end", name]
        pipe = subprocess.PIPE
        self._process = subprocess.Popen(words, cwd=ROOT, stdin=pipe, stdout=pipe, text=True)
        self.answer()

    def order(self, text: str) -> None:
        """Give an order and go on."""
        assert self._process.stdin is not None
        self._process.stdin.write(f"{text}\n")
        self._process.stdin.flush()

    def answer(self) -> list[str]:
        """Wait for the answer to an order."""
        assert self._process.stdout is not None
        return self._process.stdout.readline().split()

    def close(self) -> None:
        """End the process, and its ports with it."""
        assert self._process.stdin is not None
        self._process.stdin.close()
        self._process.wait()
        assert self._process.stdout is not None
        self._process.stdout.close()


@contextlib.contextmanager
def other_end(name: str) -> Iterator[OtherEnd]:
    """Another process with MIDI ports of that name, gone at the end."""
    process = OtherEnd(name)
    try:
        yield process
    finally:
        process.close()
