"""A class on four real ports of a JACK server, four other processes playing into them at once."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack
from pathlib import Path

import pytest

from companion.files.folders import OVERRIDE
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.ports.driver import Backend
from companion.midi.ports.named_ports import PortState
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import encode
from companion.midi.takes.reading import Take, list_takes, read_take
from companion.window.classroom.class_input import ClassInput
from companion.window.lanes.trail import REST
from companion.window.live.input import LiveInput
from companion.window.live.instruments import Instruments
from companion.window.live.second_hearing import HeardRun
from companion.window.live.sound import LiveSound
from companion.window.live.tune_run import TuneRun
from tests.companion.midi.jack import OtherEnd, jack_server, other_end
from tests.companion.window.classroom.class_bench import EAR, NAMES, PLAYINGS, SCHEDULE, TIMING, TUNE
from tests.companion.window.players import Feed

GIVES_UP_S = 20.0
PORTS = {name: f"{name.casefold()} maker" for name in NAMES}


@pytest.fixture(scope="module", autouse=True)
def _server() -> Iterator[None]:
    """A JACK server runs for these tests."""
    with jack_server():
        yield


class Room:
    """A class on real ports, followed frame by frame."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.instruments = Instruments(folder, Backend.JACK)
        self.room = ClassInput(lambda: self.instruments, folder / "takes")
        self.run: TuneRun | None = None
        self.began_s = 0.0
        self.alone: dict[str, tuple[Feed, LiveInput]] = {}

    def frames_until(self, done: Callable[[], bool]) -> None:
        """Frame after frame until it is done."""
        gives_up_s = time.monotonic() + GIVES_UP_S
        while not done():
            assert time.monotonic() < gives_up_s, self.instruments.trouble or self.instruments.inputs
            self.frame()
            time.sleep(0.004)

    def frame(self) -> None:
        """One frame."""
        now_s = self.room.clock()
        if self.run:
            self.run = TuneRun(TUNE, TIMING, now_s, now_s - self.began_s)
        self.room.gather(self.run, EAR)
        for live in self.room.learners:
            self._play_alone(live)

    def _play_alone(self, live: LiveInput) -> None:
        """The same messages in the same frames, to an input that has nothing to do with the class."""
        if live.learner not in self.alone:
            feed, alone = Feed(live.choice.name), LiveInput(None, LiveSound(), self.room.clock)
            alone.choice.follow(feed, live.choice.known)
            alone.ear.settings = EAR
            self.alone[live.learner] = feed, alone
        feed, alone = self.alone[live.learner]
        frames = live.choice._frames
        if frames and frames.fresh:
            feed.play(*frames.fresh)
        alone.gather(self.run)

    def take_in(self, names: Mapping[str, str]) -> None:
        """Have learners play, each on a port of which this is a part of the name; their maps are known."""
        self.frames_until(lambda: all(any(part in port for port in self.instruments.inputs) for part in names.values()))
        for seat in self.room.seats:
            learner = next((name for name, part in names.items() if part in seat.port), "")
            if learner:
                self.instruments.learn(seat.port, DEFAULT_MAP)
                self.room.seat(seat, learner)
        self.frames_until(lambda: self.opened == len(names))

    @property
    def opened(self) -> int:
        """How many of the class have their ports open."""
        ports = [live.choice.port for live in self.room.learners]
        return sum(port is not None and port.state is PortState.OPEN for port in ports)

    def play(self, ends: Mapping[str, OtherEnd], playings: Mapping[str, Sequence[Timed]]) -> None:
        """The tune runs once; every other end plays its own."""
        self.began_s = self.room.clock()
        self.run = TuneRun(TUNE, TIMING, self.began_s, 0.0)
        waiting = sorted(
            ((each.at_s, name, each) for name in ends for each in playings[name]), key=lambda each: each[0]
        )
        while self.room.clock() < self.began_s + SCHEDULE.duration_s + 0.1:
            while waiting and waiting[0][0] <= self.room.clock() - self.began_s:
                _, name, timed = waiting.pop(0)
                ends[name].order(f"send {bytes(encode(timed.message)).hex()}")
            self.frame()
            time.sleep(0.002)
        self.run = None
        self.frame()

    def closed(self) -> dict[str, Take]:
        """The class is over; the takes that it leaves."""
        self.room.close()
        self.instruments.close()
        return {each.heading.learner: read_take(each.path) for each in list_takes(self.folder / "takes").takes}


def heard(live: LiveInput) -> HeardRun:
    """What was found in the last run, heard a second time."""
    live.ear.wait()
    assert live.ear.before is not None
    return live.ear.before.heard


@pytest.mark.same_everywhere
def test_four_at_once_are_each_judged_as_if_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each by what came through the own port; not a message of one is another's, and none is lost."""
    monkeypatch.setenv(OVERRIDE, str(tmp_path))
    room = Room(tmp_path)
    with ExitStack() as stack:
        ends = {name: stack.enter_context(other_end(PORTS[name])) for name in NAMES}
        room.take_in(PORTS)
        room.play(ends, PLAYINGS)
        found = {live.learner: heard(live) for live in room.room.learners}
        takes = room.closed()
    assert set(takes) == set(found) == set(NAMES)
    for name in NAMES:
        assert [each.message for each in takes[name].messages] == [each.message for each in PLAYINGS[name]]
        assert PORTS[name] in takes[name].heading.source
        alone = heard(room.alone[name][1])
        assert (found[name].findings, found[name].verdict) == (alone.findings, alone.verdict), name
    assert len({each.findings for each in found.values()}) == len(NAMES)


def test_a_learner_is_known_again_by_the_port(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Next time nobody has to type a name; and "nobody" is remembered as well."""
    monkeypatch.setenv(OVERRIDE, str(tmp_path))
    with other_end("anna maker"), other_end("ben maker"):
        room = Room(tmp_path)
        room.take_in({"Anna": "anna maker", "Ben": "ben maker"})
        seat = next(each for each in room.room.seats if "ben" in each.port)
        room.room.seat(seat, "")
        room.closed()
        again = Room(tmp_path)
        again.frames_until(lambda: again.opened == 1)
        assert [live.learner for live in again.room.learners] == ["Anna"]
        again.closed()


def test_of_two_of_one_make_the_one_that_goes_is_not_taken_for_the_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Else what one learner plays would be told of another, whose chanter was unplugged."""
    monkeypatch.setenv(OVERRIDE, str(tmp_path))
    room = Room(tmp_path)
    with other_end("twin maker") as staying:
        room.frames_until(lambda: len(room.room.seats) >= 1)
        first = next(each for each in room.room.seats if "twin" in each.port)
        with other_end("twin maker"):
            room.frames_until(lambda: sum("twin" in each.port for each in room.room.seats) == 2)
            second = next(each for each in room.room.seats if "twin" in each.port and each.port != first.port)
            room.room.seat(first, "Anna")
            room.room.seat(second, "Ben")
            room.frames_until(lambda: room.opened == 2)
        room.frames_until(lambda: room.opened == 1)
        staying.order("send 90 45 40")
        anna, ben = sorted(room.room.learners, key=lambda live: live.learner)
        room.frames_until(lambda: anna.freely(room.room.clock()).now is not REST)
        assert ben.freely(room.room.clock()).now is REST
        assert room.opened == 1
        room.closed()
