"""A class that plays in: several learners at the same time, each on a port of their own, each heard as if alone."""

from __future__ import annotations

import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from companion.midi.stream.port_names import stable_name
from companion.midi.takes.reading import Take
from companion.window.lanes.told import EarSettings
from companion.window.live.ear import LiveEar
from companion.window.live.input import LiveInput
from companion.window.live.input_messages import short_name
from companion.window.live.instruments import Instruments
from companion.window.live.sound import LiveSound
from companion.window.live.tune_run import TuneRun

LONGEST_NAME = 40
"""Letters of a learner's name."""


@dataclass(frozen=True, slots=True)
class Seat:
    """A port or microphone that a learner of the class may play on. words: its name as it is shown; key: the one to
    remember it by, since two instruments of one make have the same name but for a number that changes."""

    port: str
    words: str
    key: str


def seats_of(ports: Sequence[str]) -> tuple[Seat, ...]:
    """The seats that there are, in the order of the ports; of those of one name the second is called "(2)"."""
    return tuple(_seats(ports))


def _seats(ports: Sequence[str]) -> Iterator[Seat]:
    shown: Counter[str] = Counter()
    kept: Counter[str] = Counter()
    for port in ports:
        words, key = short_name(port), stable_name(port)
        shown[words] += 1
        kept[key] += 1
        yield Seat(port, _numbered(words, shown[words]), _numbered(key, kept[key]))


def _numbered(name: str, rank: int) -> str:
    return name if rank == 1 else f"{name} ({rank})"


class RestingInput:
    """What the playing screen is played in on, at rest while a class plays: it may be a chanter of one of them."""

    def __init__(self, live: LiveInput) -> None:
        self._live = live
        self._take_up = live.rest()

    def see(self) -> None:
        """Once a frame: let go of what was opened meanwhile, as where the class is there before the ports are."""
        self._live.gather(None)
        if self._live.choice.name:
            self._take_up = self._live.rest()

    def end(self) -> None:
        """Listen to it again."""
        self._take_up()


class ClassInput:
    """All who play in at the same time. For the window's thread.

    Each has an input of their own: map, fingers, ear and takes. None is sounded by the computer, or a room of them
    would be flooded. instruments: the ports, which are known some time after the window has opened. takes: the folder
    of the takes, None to keep none.
    """

    def __init__(
        self,
        instruments: Callable[[], Instruments | None],
        takes: Path | None,
        clock: Callable[[], float] = time.perf_counter,
    ) -> None:
        self.clock = clock
        self._ports = instruments
        self._takes = takes
        self._turn = threading.Lock()
        self._learners: list[LiveInput] = []
        self._left: list[LiveInput] = []
        self._known: set[str] = set()

    @property
    def _instruments(self) -> Instruments | None:
        return self._ports()

    @property
    def learners(self) -> tuple[LiveInput, ...]:
        """Who plays in, in the order of their ports."""
        return tuple(self._learners)

    @property
    def seats(self) -> tuple[Seat, ...]:
        """The ports and microphones that there are now, and those of learners that have gone."""
        gone = (name for name in map(_port_of, self._learners) if name not in self._present)
        return seats_of((*self._present, *gone))

    def look(self) -> None:
        """From now on microphones are seats as well: one for each learner, near enough to hear no other."""
        if self._instruments:
            self._instruments.microphones.look()

    @property
    def _present(self) -> tuple[str, ...]:
        """The ports and microphones that there are now."""
        instruments = self._instruments
        return (*instruments.inputs, *instruments.microphones.names) if instruments else ()

    def names(self) -> Mapping[str, str]:
        """The name of the learner on each port that one plays on."""
        return {_port_of(live): live.learner for live in self._learners}

    def seat(self, seat: Seat, learner: str) -> None:
        """From now on that learner plays on that port; "" for nobody. Remembered for the next time."""
        self._known.add(seat.port)
        if self._instruments:
            self._instruments.seat(seat.key, learner)
        self._put(seat, learner)

    def welcome(self, live: LiveInput) -> None:
        """Take in a learner whose input follows its source already."""
        live.ear = LiveEar(self._turn)
        self._learners.append(live)

    def gather(self, run: TuneRun | None, ear: EarSettings) -> None:
        """One frame. run: where the tune stands now, None while it does not run. ear: how all of them are judged."""
        if self._instruments:
            self._instruments.refresh()
            self._seat_known(self._instruments)
        for live in self._learners:
            live.ear.settings = ear
            live.gather_in_class(run)

    @property
    def troubles(self) -> tuple[str, ...]:
        """A line for each thing that failed behind the window's back, with the name of whom it concerns."""
        shared = self._instruments.unwritten if self._instruments else ""  # which the playing screen tells
        everyone = (*self._learners, *self._left)
        return tuple(
            f"{live.learner}: {line}" for live in everyone for line in live.troubles if line not in ("", shared)
        )

    @property
    def unkept(self) -> tuple[Take, ...]:
        """The takes that could not be written, of those as well who left."""
        return tuple(take for live in (*self._learners, *self._left) for take in live.unkept)

    def close_microphones(self) -> None:
        """Whoever played at a microphone plays there no longer, and does not the next time before that is said."""
        microphones = self._instruments.microphones.names if self._instruments else ()
        for seat in self.seats:
            if seat.port in self.names() and seat.port in microphones:
                self.seat(seat, "")

    def close(self) -> None:
        """The class is over: every take ends well, and every port of it is let go."""
        while self._learners:
            self._leave(self._learners[0])

    def _seat_known(self, instruments: Instruments) -> None:
        """Whoever is remembered plays on their port as soon as it is there."""
        if self._known.issuperset(self._present):
            return
        for seat in self.seats:
            if seat.port not in self._known:
                self._known.add(seat.port)
                learner = instruments.learner(seat.key)
                if learner not in self.names().values():  # who plays on a port that has another number now
                    self._put(seat, learner)

    def _put(self, seat: Seat, learner: str) -> None:
        before = next((live for live in self._learners if _port_of(live) == seat.port), None)
        if before:
            if before.learner == learner:
                return
            self._leave(before)
        if learner:
            live = LiveInput(self._takes, LiveSound(), self.clock, learner)
            live.choice.instruments = self._instruments
            if self._instruments and seat.port in self._instruments.microphones.names:
                live.choice.listen_to_microphone(seat.port)
            else:
                live.choice.await_port(seat.port)
            self.welcome(live)
            ranks = {each.port: rank for rank, each in enumerate(self.seats)}
            self._learners.sort(key=lambda each: ranks.get(_port_of(each), len(ranks)))

    def _leave(self, live: LiveInput) -> None:
        live.leave()
        self._learners.remove(live)
        self._left.append(live)


def _port_of(live: LiveInput) -> str:
    return live.choice.name
