"""PortMidi's list of devices becomes ports by name."""

from __future__ import annotations

from companion.midi.ports.driver import PortNames
from companion.midi.ports.portmidi.devices import devices_of
from companion.midi.stream.port_names import port_returned

THROUGH_OUT = (b"ALSA", b"Midi Through Port-0", 0, 1, 0)
THROUGH_IN = (b"ALSA", b"Midi Through Port-0", 1, 0, 0)
CHANTER = (b"ALSA", b"Chanter MIDI 1", 1, 0, 0)


def test_a_device_is_an_input_or_an_output() -> None:
    """PortMidi lists both directions of a port as two devices of one name; the number is the place in its list."""
    devices = devices_of([THROUGH_OUT, THROUGH_IN, CHANTER])
    assert devices.inputs == {"Midi Through Port-0": 1, "Chanter MIDI 1": 2}
    assert devices.outputs == {"Midi Through Port-0": 0}
    assert devices.names == PortNames(("Midi Through Port-0", "Chanter MIDI 1"), ("Midi Through Port-0",))


def test_two_instruments_of_one_make_can_be_told_apart() -> None:
    """Devices of one name are numbered, and one of them that comes back alone is found by its numbered name."""
    devices = devices_of([CHANTER, THROUGH_IN, CHANTER, CHANTER])
    assert devices.inputs == {
        "Chanter MIDI 1": 0,
        "Midi Through Port-0": 1,
        "Chanter MIDI 1 [2]": 2,
        "Chanter MIDI 1 [3]": 3,
    }
    assert port_returned("Chanter MIDI 1 [2]", devices_of([CHANTER]).names.inputs) == "Chanter MIDI 1"


def test_a_name_that_looks_like_a_second_one_is_left_to_its_owner() -> None:
    """Common practice, no source."""
    infos = [(b"ALSA", name, 1, 0, 0) for name in (b"pipe [2]", b"pipe", b"pipe")]
    assert devices_of(infos).inputs == {"pipe [2]": 0, "pipe": 1, "pipe [3]": 2}


def test_names_may_hold_any_letters_or_none_at_all() -> None:
    """UTF-8; bytes that are not become a replacement character."""
    infos = [(b"ALSA", name, 1, 0, 0) for name in ("Dùdach".encode(), b"D\xf9dach", b"")]
    assert list(devices_of(infos).inputs) == ["Dùdach", "D\ufffddach", ""]


def test_no_devices_are_no_ports() -> None:
    """As where no MIDI system runs."""
    assert devices_of([]).names == PortNames((), ())
