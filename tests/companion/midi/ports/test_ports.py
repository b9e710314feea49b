"""Real ports through a JACK server, another process sending, while the program's own window draws at 1080p."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from companion.__main__ import main
from companion.listen.model.played import Fingered, Sounded
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.ports.driver import Backend
from companion.midi.ports.monitor import Monitor
from companion.midi.ports.named_ports import InputPort, Listening, Ports, PortState
from companion.midi.ports.system import MidiSystem
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOn, NotesOff, encode
from companion.midi.takes.heading import Heading
from companion.midi.takes.reading import read_take
from companion.midi.takes.recorder import Recorder
from fingering.chart import chart
from fingering.errors import UserError
from fingering.holes import HoleState
from fingering.notes import Note
from tests.companion.midi.drawing import draw_while
from tests.companion.midi.jack import OtherEnd, jack_server, opened, other_end, until
from tests.companion.midi.other_end import numbered

MESSAGES, PER_S = 3000, 1000
WAITS_AT_MOST_S = 10.0
LOW_A, B = "send 90 45 40", "send 90 47 40"


@pytest.fixture(scope="module")
def server() -> Iterator[None]:
    """A JACK server that runs for these tests."""
    with jack_server():
        yield


@pytest.fixture
def ports(server: None) -> Iterator[Ports]:
    """All its ports."""
    ports = Ports(MidiSystem(Backend.JACK))
    yield ports
    ports.close()


def fetched_until(
    port: InputPort, ports: Ports, enough: Callable[[list[Timed]], bool], keep: Callable[[Timed], None] = lambda _: None
) -> list[Timed]:
    """What comes in while the window draws, until it is enough; each message is kept as soon as it is fetched."""
    fetched: list[Timed] = []
    gives_up_s = time.monotonic() + WAITS_AT_MOST_S

    def going_on() -> bool:
        ports.refresh(time.perf_counter())
        for timed in port.fetch():
            fetched.append(timed)
            keep(timed)
        return not enough(fetched) and time.monotonic() < gives_up_s

    frames = draw_while(going_on)
    assert frames > 0
    return fetched


def one_came(fetched: list[Timed]) -> bool:
    """Whether any message came."""
    return bool(fetched)


def test_no_message_is_lost_while_the_window_draws(ports: Ports) -> None:
    """0 of 3,000 at 1,000 a second, in order, none twice."""
    with other_end("chanter maker") as other:
        port = opened(ports, "chanter maker")
        other.order(f"count {MESSAGES} {PER_S}")
        timed = fetched_until(port, ports, lambda fetched: len(fetched) >= MESSAGES)
        ports.drop(port)
    assert [list(encode(each.message))[:2] for each in timed] == [numbered(number)[:2] for number in range(MESSAGES)]
    assert port.dropped == 0
    assert [each.at_s for each in timed] == sorted(each.at_s for each in timed)


def play_a_note(other: OtherEnd, order: str) -> None:
    """Have one message sent, and wait until it is."""
    other.order(order)
    other.answer()


def test_a_take_goes_on_when_the_port_was_away(ports: Ports, tmp_path: Path) -> None:
    """The cable is pulled while low A sounds, which ends it; it is plugged in again, and B comes into the same take."""
    recorder = Recorder(tmp_path, Heading(datetime.now(UTC), "x", DEFAULT_MAP), began_s=time.perf_counter())
    with other_end("chanter maker") as other:
        port = opened(ports, "chanter maker")
        play_a_note(other, LOW_A)
        assert [each.message for each in fetched_until(port, ports, one_came, recorder.add)] == [NoteOn(0, 69)]
    assert [each.message for each in fetched_until(port, ports, one_came, recorder.add)] == [NotesOff(0)]
    assert port.trouble
    assert "chanter maker" in port.trouble
    with other_end("chanter maker") as other:
        fetched_until(port, ports, lambda _: port.state is PortState.OPEN, recorder.add)
        play_a_note(other, B)
        assert [each.message for each in fetched_until(port, ports, one_came, recorder.add)] == [NoteOn(0, 71)]
        ports.drop(port)
    take = recorder.finish(time.perf_counter())
    assert take is not None
    assert take.path is not None
    notes = [each.note for each in read_take(take.path).events if isinstance(each, Sounded)]
    assert notes == [Note.LOW_A, None, Note.B]


def test_a_remembered_port_is_opened_when_it_comes(ports: Ports) -> None:
    """The program may start before the instrument is plugged in."""
    port = ports.await_port("late comer:out", Listening())
    with other_end("late comer"):
        fetched_until(port, ports, lambda _: port.state is PortState.OPEN)
        assert port.trouble is None
    ports.drop(port)


def test_two_programs_may_listen_to_one_port(ports: Ports) -> None:
    """Each gets every message, where the MIDI system allows it."""
    with other_end("chanter maker") as other:
        both = [opened(ports, "chanter maker") for _ in range(2)]
        play_a_note(other, LOW_A)
        heard = [fetched_until(port, ports, one_came) for port in both]
        for port in both:
            ports.drop(port)
    assert [[each.message for each in timed] for timed in heard] == [[NoteOn(0, 69)]] * 2


def test_what_is_played_sounds_before_the_next_frame_and_never_sticks(ports: Ports) -> None:
    """The monitor sounds low A though nobody fetches, and falls silent when the port goes."""
    sounded: list[HoleState | None] = []
    with other_end("chanter maker") as other:
        port = opened(ports, "chanter maker", Listening(monitor=Monitor(sounded.append, DEFAULT_MAP)))
        play_a_note(other, LOW_A)
        gives_up_s = time.monotonic() + WAITS_AT_MOST_S
        while not sounded and time.monotonic() < gives_up_s:
            time.sleep(0.001)
    fetched_until(port, ports, lambda _: port.state is PortState.AWAY)
    assert sounded[0] == chart(Note.LOW_A)
    assert sounded[-1] is None


def test_a_synthesiser_is_fed(ports: Ports) -> None:
    """Notes go out slurred, hole states as the note they sound, and all is silent at the end."""
    with other_end("synthesiser") as other:
        until(ports, lambda: any("synthesiser" in name for name in ports.outputs))
        outlet = ports.outlet("synthesiser")
        for played in (Sounded(0.0, Note.LOW_A), Sounded(1.0, Note.LOW_A), Fingered(2.0, chart(Note.B))):
            outlet.play(played)
        other.order("hear 3")
        assert other.answer() == ["904540", "904740", "804540"]
        outlet.close()
        other.order("hear 2")
        assert other.answer() == ["804740", "b07b00"]


def test_a_port_that_is_not_there_is_told(ports: Ports) -> None:
    """In one line that lists what there is."""
    with other_end("chanter maker"):
        until(ports, lambda: any("chanter maker" in name for name in ports.inputs))
        with pytest.raises(UserError, match="chanter maker"):
            ports.listen("bagpipe", Listening())


def test_the_ports_are_listed(ports: Ports, capsys: pytest.CaptureFixture[str]) -> None:
    """With what is known of each."""
    with other_end("chanter maker"):
        assert main(["ports", "--backend", "jack"]) == 0
    assert "chanter maker:out: its notes are not learnt yet" in capsys.readouterr().out
