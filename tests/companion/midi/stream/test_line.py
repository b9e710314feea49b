"""A sender that dies lets go of its notes."""

from __future__ import annotations

from companion.midi.stream.line import SENSING_TIMEOUT_S, SenderDecoder, Timed
from companion.midi.stream.messages import NoteOn, NotesOff

ON, SENSING, CLOCK, RESET = bytes.fromhex("93 45 40"), b"\xfe", b"\xf8", b"\xff"


def test_a_sender_of_active_sensing_that_falls_silent_is_gone() -> None:
    """After more than 330 ms, stamped with that moment: MIDI 1.0 Detailed Specification 4.2.1, p. 32."""
    line = SenderDecoder()
    list(line.feed(ON + SENSING, 1.0))
    assert list(line.pass_time(1.0 + SENSING_TIMEOUT_S)) == []
    assert list(line.pass_time(5.0)) == [Timed(1.0 + SENSING_TIMEOUT_S, NotesOff(3))]


def test_any_byte_is_a_sign_of_life() -> None:
    """Active Sensing is sent only when there is nothing else to send: p. 32."""
    line = SenderDecoder()
    list(line.feed(ON + SENSING, 1.0))
    for step in range(10):
        assert list(line.feed(CLOCK, 1.2 + step * 0.2)) == []


def test_a_sender_that_never_sent_active_sensing_may_be_silent() -> None:
    """It is optional, and enforced only after the first: p. 32."""
    line = SenderDecoder()
    list(line.feed(ON, 1.0))
    assert list(line.pass_time(100.0)) == []


def test_after_a_lapse_it_is_enforced_only_after_the_next_one() -> None:
    """The receiver goes back to normal operation: p. 32."""
    line = SenderDecoder()
    list(line.feed(ON + SENSING, 1.0))
    list(line.feed(ON, 5.0))
    assert list(line.pass_time(9.0)) == []


def test_a_reset_lets_go_of_every_channel_used() -> None:
    """System Reset puts the sender in its state at power-up: p. 32."""
    line = SenderDecoder()
    list(line.feed(ON + bytes.fromhex("95 45 40"), 1.0))
    assert list(line.feed(RESET, 2.0)) == [Timed(2.0, NotesOff(3)), Timed(2.0, NotesOff(5))]


def test_a_lost_port_lets_go_and_forgets_what_was_half_said() -> None:
    """What comes from the port opened again begins afresh."""
    line = SenderDecoder()
    list(line.feed(ON + b"\x93\x47", 1.0))
    assert list(line.lose(2.0)) == [Timed(2.0, NotesOff(3))]
    assert list(line.feed(b"\x40\x90\x45\x40", 3.0)) == [Timed(3.0, NoteOn(0, 69))]


def test_only_the_channel_chosen_is_heard() -> None:
    """Drones on another one then do not count at all."""
    line = SenderDecoder(channel=3)
    assert list(line.feed(ON + bytes.fromhex("95 45 40"), 1.0)) == [Timed(1.0, NoteOn(3, 69))]
