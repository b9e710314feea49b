"""Events of PortMidi become the messages that were sent. How it cuts them up: portmidi.h at PmEvent, from memory."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.midi.ports.portmidi.events import EventJoiner, arrived_s
from companion.midi.stream.framing import Framer


def joined(*events: str) -> list[str]:
    """The messages of events, both as hexadecimal bytes."""
    joiner = EventJoiner()
    return [data.hex(" ") for event in events for data in joiner.messages(bytes.fromhex(event))]


@pytest.mark.parametrize(
    ("event", "message"),
    [
        ("90 45 40 00", "90 45 40"),
        ("85 45 00 00", "85 45 00"),
        ("b0 7b 00 00", "b0 7b 00"),
        ("c0 05 00 00", "c0 05"),
        ("d1 20 00 00", "d1 20"),
        ("e0 00 40 00", "e0 00 40"),
        ("f1 12 00 00", "f1 12"),
        ("f2 10 20 00", "f2 10 20"),
        ("f6 00 00 00", "f6"),
        ("f8 00 00 00", "f8"),
        ("fe 00 00 00", "fe"),
    ],
)
def test_a_message_has_as_many_bytes_as_its_status_says(event: str, message: str) -> None:
    """MIDI 1.0 Detailed Specification 4.2.1, tables I to VI; the rest of the four bytes is filling."""
    assert joined(event) == [message]


@pytest.mark.parametrize("event", ["f4 00 00 00", "f5 00 00 00", "45 40 00 00", "00 00 00 00"])
def test_what_is_no_message_is_dropped(event: str) -> None:
    """Undefined statuses, and data bytes that belong to nothing."""
    assert joined(event, "90 45 40 00") == ["90 45 40"]


def test_system_exclusive_is_left_out_whole() -> None:
    """Its data bytes are no messages, wherever in the four bytes it ends."""
    assert joined("f0 7e 7f 06", "01 f7 00 00", "90 45 40 00") == ["90 45 40"]
    assert joined("f0 7d 10 11", "12 13 14 f7", "90 45 40 00") == ["90 45 40"]
    assert joined("f0 7d 10 11", "12 13 14 15", "f7 00 00 00", "90 45 40 00") == ["90 45 40"]
    assert joined("f0 f7 00 00", "90 45 40 00") == ["90 45 40"]


def test_a_real_time_message_may_come_within_system_exclusive() -> None:
    """As an event between two pieces or as a byte of one; the pieces after it are left out as well."""
    assert joined("f0 7d 10 11", "fe 00 00 00", "12 13 f8 14", "15 f7 00 00") == ["fe", "f8"]


def test_system_exclusive_that_is_broken_off_takes_nothing_with_it() -> None:
    """Any status but a real-time message ends it: MIDI 1.0 Detailed Specification 4.2.1, p. 5."""
    assert joined("f0 7d 10 11", "90 45 40 00", "12 13 14 15", "80 45 40 00") == ["90 45 40", "80 45 40"]


DATA = st.integers(0, 0x7F)
VOICE = st.builds(lambda status, a, b: bytes((status, a, b)), st.integers(0x80, 0xBF), DATA, DATA)
REAL_TIME = st.sampled_from([b"\xf8", b"\xfa", b"\xfc", b"\xfe", b"\xff"])
SYSEX = st.lists(DATA, max_size=14).map(lambda data: bytes((0xF0, *data, 0xF7)))


def as_events(messages: Iterable[bytes]) -> Iterator[bytes]:
    """Messages cut up as PortMidi does."""
    for message in messages:
        for start in range(0, len(message), 4):
            yield message[start : start + 4].ljust(4, b"\0")


@given(st.lists(st.one_of(VOICE, REAL_TIME, SYSEX), max_size=12))
def test_the_events_say_what_the_bytes_said(messages: list[bytes]) -> None:
    """As the framer of bare bytes understands them."""
    joiner = EventJoiner()
    through_events = [data for event in as_events(messages) for data in joiner.messages(event)]
    assert through_events == list(Framer().feed(b"".join(messages)))


@given(st.lists(st.binary(min_size=4, max_size=4), max_size=12))
def test_no_event_whatever_makes_it_fail(events: list[bytes]) -> None:
    """A driver may hand out anything; messages are still one to three bytes."""
    joiner = EventJoiner()
    assert all(1 <= len(data) <= 3 for event in events for data in joiner.messages(event))


def test_what_waited_is_stamped_when_it_came() -> None:
    """50 ms ago on PortMidi's clock is 50 ms ago on ours."""
    assert arrived_s(stamp_ms=1000, now_ms=1050, now_s=77.0) == pytest.approx(76.95)


def test_what_came_just_now_is_stamped_now() -> None:
    """PortMidi counts whole ms, and ports are polled twice in one."""
    assert arrived_s(stamp_ms=1000, now_ms=1000, now_s=77.0) == 77.0
    assert arrived_s(stamp_ms=999, now_ms=1000, now_s=77.0) == 77.0


def test_a_stamp_of_another_clock_is_not_believed() -> None:
    """Neither one that is still to come nor one of long ago."""
    assert arrived_s(stamp_ms=2000, now_ms=1000, now_s=77.0) == 77.0
    assert arrived_s(stamp_ms=0, now_ms=3_600_000, now_s=77.0) == 77.0
