"""What is played sounds at once, and never sticks."""

from __future__ import annotations

from companion.midi.maps.note_map import DEFAULT_MAP, NoteMap, Spelling
from companion.midi.ports.monitor import Monitor
from companion.midi.stream.line import SENSING_TIMEOUT_S, Stamped
from companion.midi.stream.monophony import STUCK_AFTER_S
from fingering.chart import chart
from fingering.holes import HoleState
from fingering.notes import Note

LOW_A_ON, LOW_A_OFF = bytes.fromhex("90 45 40"), bytes.fromhex("80 45 40")


class Ear:
    """Keeps what sounds."""

    def __init__(self) -> None:
        self.heard: list[HoleState | None] = []

    def monitor(self) -> Monitor:
        """A monitor that sounds into this ear."""
        return Monitor(self.heard.append, DEFAULT_MAP)


def test_a_note_sounds_as_its_state_in_the_chart() -> None:
    """A Note On sounds the chart's state for that note, its Note Off sounds nothing."""
    ear = Ear()
    monitor = ear.monitor()
    monitor.take(Stamped(1.0, LOW_A_ON))
    monitor.take(Stamped(2.0, LOW_A_OFF))
    assert ear.heard == [chart(Note.LOW_A), None]


def test_messages_that_come_together_sound_one_after_the_other() -> None:
    """A slur in one bundle of bytes: both notes are sounded, the last one stays."""
    ear = Ear()
    ear.monitor().take(Stamped(1.0, LOW_A_ON + bytes.fromhex("47 40") + LOW_A_OFF))
    assert ear.heard == [chart(Note.LOW_A), chart(Note.B)]


def test_time_alone_ends_what_sticks() -> None:
    """A stuck note, and a sender of Active Sensing that is gone."""
    ear = Ear()
    monitor = ear.monitor()
    monitor.take(Stamped(1.0, LOW_A_ON))
    monitor.pass_time(2.0 + STUCK_AFTER_S)
    assert ear.heard[-1] is None
    monitor.take(Stamped(100.0, LOW_A_ON + b"\xfe"))
    assert ear.heard[-1] == chart(Note.LOW_A)
    monitor.pass_time(100.1 + SENSING_TIMEOUT_S)
    assert ear.heard[-1] is None


def test_a_lost_port_and_another_map_end_what_sounds() -> None:
    """By the new map the same number is another note."""
    ear = Ear()
    monitor = ear.monitor()
    monitor.take(Stamped(1.0, LOW_A_ON))
    monitor.lose(2.0)
    assert ear.heard[-1] is None
    monitor.take(Stamped(3.0, LOW_A_ON))
    monitor.use(NoteMap.of(67, Spelling.SHARPS))
    monitor.pass_time(3.1)
    assert ear.heard[-1] is None
    monitor.take(Stamped(4.0, LOW_A_ON))
    assert ear.heard[-1] == chart(Note.B)


def test_a_note_may_be_held_for_as_long_as_the_tune_asks() -> None:
    """A tune that runs slowly: by another map as well, and until the limit is another again."""
    ear = Ear()
    monitor = ear.monitor()
    monitor.allow(10.0 * STUCK_AFTER_S)
    monitor.use(DEFAULT_MAP)
    monitor.pass_time(0.5)
    monitor.take(Stamped(1.0, LOW_A_ON))
    monitor.pass_time(0.9 + 10.0 * STUCK_AFTER_S)
    assert ear.heard[-1] == chart(Note.LOW_A)
    monitor.allow(STUCK_AFTER_S)
    monitor.pass_time(1.0 + 10.0 * STUCK_AFTER_S)
    assert ear.heard[-1] is None
