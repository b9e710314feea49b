"""Joins a source of messages with the instrument at its end: what is played, and a map that is being learnt."""

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
"""A map being learnt: `wanted` says what to play next, `learnt_map` is the finished one."""


class MessageSource(Protocol):
    """Where messages come from: an InputPort, or a KeySource."""

    def fetch(self) -> Iterator[Timed]:
        """Yield what came since the last call, in order of time."""


@dataclass(frozen=True, slots=True)
class MapChange:
    """A change to another map, or to none."""

    known: Map | None


class PlayingIn:
    """A source of messages and the instrument at its end, for the main thread. `clock`: the one that stamps them."""

    def __init__(self, source: MessageSource, known: Map | None, clock: Callable[[], float]) -> None:
        self.learning: Learning | None = None
        self.instrument: Instrument = instrument_for(known)
        self._known = known
        self._next: MapChange | None = None
        self._source = source
        self._clock = clock
        self._held = Held()

    @property
    def known(self) -> Map | None:
        """The map in use, or about to be; None while it is inferred."""
        return self._next.known if self._next else self._known

    def allow(self, stuck_after_s: float) -> None:
        """From now on a note is stuck that sounds for so many seconds with nothing new."""
        self.instrument.stuck_after_s = stuck_after_s

    @property
    def held(self) -> tuple[VoiceMessage, ...]:
        """What was held at the last fetch, as messages: a take that begins now begins with these."""
        return self._held.messages

    def use(self, known: Map | None) -> None:
        """Change to another map after the next fetch; what is held then is played anew by that map."""
        self._next = MapChange(known)

    def fetch(self) -> tuple[Played, ...]:
        """What was played since the last call, in order of time. A map whose learning is finished is put to use."""
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
        played.extend(self._change_map(now_s))
        return tuple(played)

    def _learn(self, now_s: float) -> None:
        if self.learning:
            self.learning.pass_time(now_s)
            if self.learning.learnt_map:
                self.use(self.learning.learnt_map)
                self.learning = None

    def _change_map(self, now_s: float) -> Iterator[Played]:
        """End what sounded by the old map, and begin what is held by the new one."""
        if self._next:
            self._known, self._next = self._next.known, None
            self.instrument = instrument_for(self._known, self.instrument.stuck_after_s)
            yield Sounded(now_s, None)
            for message in self.held:
                yield from self.instrument.hear(Timed(now_s, message))
