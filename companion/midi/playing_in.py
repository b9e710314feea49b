"""One player at one instrument: from a source of messages to what is played, and to a map that is learnt."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Protocol

from companion.listen.model.played import Played, Sounded
from companion.midi.maps.calibration import Calibration
from companion.midi.maps.hole_map import HoleLearning
from companion.midi.maps.instrument import Instrument, instrument_for
from companion.midi.maps.map_text import Map
from companion.midi.stream.held import Held
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import VoiceMessage

Learning = Calibration | HoleLearning
"""A map in the making: `wanted` says what to play next, `learnt_map` is the finished one."""


class MessageSource(Protocol):
    """Where messages come from: an InputPort, or a KeySource."""

    def fetch(self) -> Iterator[Timed]:
        """What came since the last call, in order of time."""


@dataclass(frozen=True, slots=True)
class Switch:
    """A change to another map, or to none."""

    known: Map | None


class PlayingIn:
    """A source and the instrument at its end, for the main thread. `clock` is the one that stamps the messages."""

    def __init__(self, source: MessageSource, known: Map | None, clock: Callable[[], float]) -> None:
        self.learning: Learning | None = None
        self.instrument: Instrument = instrument_for(known)
        self._known = known
        self._next: Switch | None = None
        self._source = source
        self._clock = clock
        self._held = Held()

    @property
    def known(self) -> Map | None:
        """The map in force, or about to be; None while it is inferred."""
        return self._next.known if self._next else self._known

    @property
    def held(self) -> tuple[VoiceMessage, ...]:
        """What was held when messages were last fetched, as messages: a take that begins now begins with these."""
        return self._held.messages

    def use(self, known: Map | None) -> None:
        """By another map, from the end of the next fetch on: what is held then is played anew by that map."""
        self._next = Switch(known)

    def fetch(self) -> tuple[Played, ...]:
        """What was played since the last call, in order of time. What a learning has finished is put to use."""
        now_s = self._clock()
        played: list[Played] = []
        for timed in self._source.fetch():
            now_s = max(now_s, timed.at_s)
            self._held.hear(timed.message)
            if self.learning:
                self.learning.hear(timed)
            played.extend(self.instrument.hear(timed))
        played.extend(self.instrument.pass_time(now_s))
        self._learn(now_s)
        played.extend(self._switch(now_s))
        return tuple(played)

    def _learn(self, now_s: float) -> None:
        if self.learning:
            self.learning.pass_time(now_s)
            if self.learning.learnt_map:
                self.use(self.learning.learnt_map)
                self.learning = None

    def _switch(self, now_s: float) -> Iterator[Played]:
        """What sounded by the old map ends, and what is held sounds by the new one."""
        if self._next:
            self._known, self._next = self._next.known, None
            self.instrument = instrument_for(self._known)
            yield Sounded(now_s, None)
            for message in self.held:
                yield from self.instrument.hear(Timed(now_s, message))
