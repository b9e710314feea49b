"""One player at one instrument: from messages to what is played, to takes, and to a map that is learnt."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Protocol

from companion.listen.played import Played
from companion.midi.calibration import Calibration
from companion.midi.heading import Heading
from companion.midi.held import Held
from companion.midi.hole_map import HoleLearning
from companion.midi.instrument import Instrument, instrument_for
from companion.midi.line import Timed
from companion.midi.map_text import Map
from companion.midi.recorder import Recorder
from companion.midi.takes import Take

Learning = Calibration | HoleLearning
"""A map in the making: `wanted` says what to play next, `learnt_map` is the finished one."""


class Source(Protocol):
    """Where messages come from: an InputPort, or KeySource."""

    def fetch(self) -> Iterator[Timed]:
        """What came since the last call, in order of time."""


class KeySource:
    """Messages of the computer's keys, kept until they are fetched."""

    def __init__(self) -> None:
        self._waiting: deque[Timed] = deque()

    def put(self, messages: Iterable[Timed]) -> None:
        """Keep what a KeyChanter told."""
        self._waiting.extend(messages)

    def fetch(self) -> Iterator[Timed]:
        """What came since the last call."""
        while self._waiting:
            yield self._waiting.popleft()


class PlayingIn:
    """A source and the instrument at its end, for the main thread. `clock` is the one that stamps the messages."""

    def __init__(self, source: Source, known: Map | None, clock: Callable[[], float]) -> None:
        self.learning: Learning | None = None
        self.instrument: Instrument = instrument_for(known)
        self._known = known
        self._source = source
        self._clock = clock
        self._held = Held()
        self._recorder: Recorder | None = None

    @property
    def known(self) -> Map | None:
        """The map in force, None while it is inferred."""
        return self._known

    @property
    def trouble(self) -> str | None:
        """The line for the screen when the take that runs cannot be written."""
        return self._recorder.trouble if self._recorder else None

    def use(self, known: Map | None) -> None:
        """From the next message on, by another map."""
        self._known = known
        self.instrument = instrument_for(known)

    def fetch(self) -> tuple[Played, ...]:
        """What was played since the last call, in order of time. What a learning has finished is put to use."""
        now_s = self._clock()
        played: list[Played] = []
        for timed in self._source.fetch():
            self._held.hear(timed.message)
            if self._recorder:
                self._recorder.add(timed)
            if self.learning:
                self.learning.hear(timed)
            played.extend(self.instrument.hear(timed))
        played.extend(self.instrument.pass_time(now_s))
        self._learn(now_s)
        return tuple(played)

    def begin_take(self, folder: Path, heading: Heading) -> None:
        """From now on keep what is played, what is held already first; a take that runs already is finished."""
        self.end_take()
        now_s = self._clock()
        self._recorder = Recorder(folder, heading, began_s=now_s)
        for message in self._held.messages:
            self._recorder.add(Timed(now_s, message))

    def end_take(self) -> Take | None:
        """Finish the take that runs; None if there is none or nothing was played in it."""
        recorder, self._recorder = self._recorder, None
        return recorder.finish(self._clock()) if recorder else None

    def _learn(self, now_s: float) -> None:
        if self.learning:
            self.learning.pass_time(now_s)
            if self.learning.learnt_map:
                self.use(self.learning.learnt_map)
                self.learning = None
