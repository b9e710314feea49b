"""One player at one instrument: from a source of messages to what is played, and to a map that is learnt."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Protocol

from companion.listen.played import Played
from companion.midi.calibration import Calibration
from companion.midi.held import Held
from companion.midi.hole_map import HoleLearning
from companion.midi.instrument import Instrument, instrument_for
from companion.midi.line import Timed
from companion.midi.map_text import Map
from companion.midi.messages import VoiceMessage

Learning = Calibration | HoleLearning
"""A map in the making: `wanted` says what to play next, `learnt_map` is the finished one."""


class Source(Protocol):
    """Where messages come from: an InputPort, or a KeySource."""

    def fetch(self) -> Iterator[Timed]:
        """What came since the last call, in order of time."""


class PlayingIn:
    """A source and the instrument at its end, for the main thread. `clock` is the one that stamps the messages."""

    def __init__(self, source: Source, known: Map | None, clock: Callable[[], float]) -> None:
        self.learning: Learning | None = None
        self.instrument: Instrument = instrument_for(known)
        self._known = known
        self._source = source
        self._clock = clock
        self._held = Held()

    @property
    def known(self) -> Map | None:
        """The map in force, None while it is inferred."""
        return self._known

    @property
    def held(self) -> tuple[VoiceMessage, ...]:
        """What was held when messages were last fetched, as messages: a take that begins now begins with these."""
        return self._held.messages

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
            if self.learning:
                self.learning.hear(timed)
            played.extend(self.instrument.hear(timed))
        played.extend(self.instrument.pass_time(now_s))
        self._learn(now_s)
        return tuple(played)

    def _learn(self, now_s: float) -> None:
        if self.learning:
            self.learning.pass_time(now_s)
            if self.learning.learnt_map:
                self.use(self.learning.learnt_map)
                self.learning = None
