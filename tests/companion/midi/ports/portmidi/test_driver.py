"""Ports through PortMidi that come and go, on a stand-in for pygame.midi: no real port can be made to here.

It does what pygame's documentation says: devices are listed at `init` only, `quit` makes all that is open useless, and
events are read in lists of [[status, data, data, data], ms].
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from companion.midi.ports.driver import PortNames
from companion.midi.ports.portmidi.driver import PortMidiDriver
from fingering.errors import UserError

Event = tuple[list[int], int]
LOW_A: Event = ([0x90, 69, 64, 0], 0)
B: Event = ([0x90, 71, 64, 0], 0)


class PortMidi:
    """Stands in for the module pygame.midi. `plugged` is what is connected, which it sees when it is initialised."""

    def __init__(self, *plugged: str) -> None:
        self.plugged = list(plugged)
        self.begun = 0
        self.sent: list[bytes] = []
        self.events: dict[str, list[Event]] = {}
        self._seen: list[str] = []
        self._open: list[Stream] = []

    def init(self) -> None:
        """Take the devices that are connected; each is an input and an output."""
        self._seen = list(self.plugged)
        self.begun += 1

    def quit(self) -> None:
        """Forget all."""
        for stream in self._open:
            assert not stream.usable, "PortMidi may crash when it is ended under an open port"
        self._seen = []

    def get_count(self) -> int:
        """How many devices."""
        return 2 * len(self._seen)

    def get_device_info(self, number: int) -> tuple[bytes, bytes, int, int, int]:
        """Inputs are even, outputs odd."""
        return b"ALSA", self._seen[number // 2].encode(), 1 - number % 2, number % 2, 0

    def time(self) -> int:
        """It stands still."""
        return 0

    def Input(self, number: int, size: int) -> Stream:  # noqa: N802
        """Open an input."""
        return self._opened(number)

    def Output(self, number: int, latency_ms: int) -> Stream:  # noqa: N802
        """Open an output."""
        assert latency_ms == 0
        return self._opened(number)

    def _opened(self, number: int) -> Stream:
        name = self._seen[number // 2]
        if name not in self.plugged:
            raise Exception("PortMidi: Host error")
        self._open.append(Stream(self, name))
        return self._open[-1]


class Stream:
    """What it opens."""

    def __init__(self, midi: PortMidi, name: str) -> None:
        self.usable = True
        self._midi = midi
        self._name = name

    def read(self, most: int) -> list[Event]:
        """What came."""
        self._check()
        events = self._midi.events.get(self._name, [])
        self._midi.events[self._name] = events[most:]
        return events[:most]

    def write_short(self, status: int, data1: int = 0, data2: int = 0) -> None:
        """Send."""
        self._check()
        self._midi.sent.append(bytes((status, data1, data2)))

    def close(self) -> None:
        """End."""
        self.usable = False

    def _check(self) -> None:
        if not self.usable or self._name not in self._midi.plugged:
            raise Exception("PortMidi: Bad pointer")


class Watch:
    """Sees at once what is connected to the stand-in."""

    def __init__(self, midi: PortMidi, known: PortNames) -> None:
        self.names, self.changed = known, False
        self.trouble: UserError | None = None
        self._midi = midi

    def since(self, known: PortNames) -> None:
        """Begin anew."""
        self.names, self.changed = known, False

    def ask(self) -> None:
        """Look."""
        if self.trouble:
            return
        told = PortNames(tuple(self._midi.plugged), tuple(self._midi.plugged))
        self.changed |= told != self.names
        self.names = told

    def close(self) -> None:
        """Nothing to end."""


def test_a_watch_that_has_ended_is_followed_by_another(midi: PortMidi) -> None:
    """What is connected after that is still seen; why the first one ended is told until the next call."""
    watches: list[Watch] = []

    def watching(known: PortNames) -> Watch:
        watches.append(Watch(midi, known))
        return watches[-1]

    driver = PortMidiDriver(midi, watching)
    driver.open_input("chanter")
    assert driver.names().inputs == ("chanter", "synthesiser")
    assert driver.trouble is None
    watches[0].trouble = UserError("it has ended", "open it again")
    midi.plugged.append("drone")
    assert driver.names().inputs == ("chanter", "synthesiser", "drone")
    assert driver.trouble is watches[0].trouble
    driver.names()
    assert driver.trouble is None
    driver.close()
    assert len(watches) == 2


@pytest.fixture
def midi() -> PortMidi:
    """A chanter and a synthesiser are connected."""
    return PortMidi("chanter", "synthesiser")


@pytest.fixture
def driver(midi: PortMidi) -> Iterator[PortMidiDriver]:
    """A driver of them."""
    driver = PortMidiDriver(midi, lambda known: Watch(midi, known))
    yield driver
    driver.close()


def heard(port: object) -> list[bytes]:
    """All messages that wait at an input."""
    return list(iter(lambda: stamped.data if (stamped := port.read()) else None, None))  # type: ignore[attr-defined]


def test_messages_come_in_and_go_out(midi: PortMidi, driver: PortMidiDriver) -> None:
    """In order, as bytes."""
    chanter, synthesiser = driver.open_input("chanter"), driver.open_output("synthesiser")
    midi.events["chanter"] = [LOW_A, B]
    assert heard(chanter) == [b"\x90\x45\x40", b"\x90\x47\x40"]
    assert heard(chanter) == []
    synthesiser.send(b"\x90\x45\x40")
    synthesiser.send(b"\xc0\x05")
    assert midi.sent == [b"\x90\x45\x40", b"\xc0\x05\x00"]


def test_what_is_plugged_in_is_seen_while_nothing_is_open(midi: PortMidi, driver: PortMidiDriver) -> None:
    """By initialising PortMidi anew."""
    midi.plugged.append("pipe")
    assert driver.names().inputs == ("chanter", "synthesiser", "pipe")


def test_listing_does_not_disturb_a_port_that_is_open(midi: PortMidi, driver: PortMidiDriver) -> None:
    """However often, whatever comes and goes."""
    chanter = driver.open_input("chanter")
    begun = midi.begun
    for plugged in (["chanter", "pipe"], ["chanter"], ["pipe", "chanter"]):
        midi.plugged = plugged
        assert driver.names().inputs == tuple(plugged)
    midi.events["chanter"] = [LOW_A]
    assert heard(chanter) == [b"\x90\x45\x40"]
    assert midi.begun == begun


def test_opening_one_that_came_keeps_those_that_are_open(midi: PortMidi, driver: PortMidiDriver) -> None:
    """Though their numbers change; what waited in them is not lost."""
    chanter, synthesiser = driver.open_input("chanter"), driver.open_output("synthesiser")
    driver.names()
    midi.plugged.insert(0, "pipe")
    driver.names()
    midi.events["chanter"] = [LOW_A]
    pipe = driver.open_input("pipe")
    midi.events["chanter"] += [B]
    midi.events["pipe"] = [B]
    assert heard(chanter) == [b"\x90\x45\x40", b"\x90\x47\x40"]
    assert heard(pipe) == [b"\x90\x47\x40"]
    synthesiser.send(b"\x80\x45\x40")
    assert midi.sent == [b"\x80\x45\x40"]


def test_one_that_comes_back_is_opened_anew(midi: PortMidi, driver: PortMidiDriver) -> None:
    """Its old number would lead nowhere, though the names are those of the beginning."""
    synthesiser = driver.open_output("synthesiser")
    driver.open_input("chanter").close()
    driver.names()
    midi.plugged.remove("chanter")
    assert driver.names().inputs == ("synthesiser",)
    midi.plugged.insert(0, "chanter")
    driver.names()
    begun = midi.begun
    midi.events["chanter"] = [LOW_A]
    assert heard(driver.open_input("chanter")) == [b"\x90\x45\x40"]
    assert midi.begun == begun + 1
    synthesiser.send(b"\x80\x45\x40")


def test_a_port_that_went_is_told_to_whoever_uses_it(midi: PortMidi, driver: PortMidiDriver) -> None:
    """After another was opened, as before; the other one serves."""
    chanter, synthesiser = driver.open_input("chanter"), driver.open_output("synthesiser")
    driver.names()
    midi.plugged = ["pipe"]
    with pytest.raises(UserError, match="the MIDI port failed"):
        chanter.read()
    driver.names()
    pipe = driver.open_input("pipe")
    with pytest.raises(UserError, match="'chanter' cannot be opened"):
        chanter.read()
    with pytest.raises(UserError, match="'synthesiser' cannot be opened"):
        synthesiser.send(b"\x80\x45\x40")
    assert heard(pipe) == []


@pytest.mark.parametrize("name", ["bagpipe", "chanter"])
def test_one_that_does_not_open_is_told(midi: PortMidi, driver: PortMidiDriver, name: str) -> None:
    """It is not there, or it went this moment."""
    synthesiser = driver.open_output("synthesiser")
    midi.plugged.remove("chanter")
    with pytest.raises(UserError, match=f"'{name}' cannot be opened"):
        driver.open_input(name)
    synthesiser.send(b"\x80\x45\x40")
