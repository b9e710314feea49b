"""Sounds what is played at once, from the thread that reads the port: the next frame would be too late."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from companion.listen.model.played import Fingered, Played
from companion.midi.maps.instrument import Instrument, instrument_for
from companion.midi.maps.map_text import Map
from companion.midi.stream.line import SenderDecoder, Stamped, Timed
from companion.midi.stream.monophony import STUCK_AFTER_S
from fingering.chart import chart
from fingering.holes import HoleState

Sound = Callable[[HoleState | None], None]
"""What a live voice does with a hole state; None is silence. It must not wait."""


def state_to_sound(played: Played) -> HoleState | None:
    """The hole state that sounds what was played: its own, or that of the note in the chart; None for silence."""
    if isinstance(played, Fingered):
        return played.state
    return None if played.note is None else chart(played.note)


class Monitor:
    """Follows one port by ear. It decodes for itself, so that it shares nothing with the main thread but its map."""

    def __init__(self, sound: Sound, known: Map | None = None, *, channel: int | None = None) -> None:
        self._sound = sound
        self._line = SenderDecoder(channel)
        self._instrument = instrument_for(known)
        self._next: Instrument | None = None
        self._stuck_after_s = STUCK_AFTER_S

    def use(self, known: Map | None) -> None:
        """From the next message on, by another map; any thread may call. What sounds by the old one ends."""
        self._next = instrument_for(known)

    def allow(self, stuck_after_s: float) -> None:
        """From now on a note is stuck that sounds for so many seconds with nothing new; any thread may call."""
        self._stuck_after_s = stuck_after_s

    def take(self, stamped: Stamped) -> None:
        """Sound what these bytes play."""
        self._follow(self._line.feed(stamped.data, stamped.at_s))

    def pass_time(self, now_s: float) -> None:
        """Fall silent where time alone asks for it, or another map."""
        if self._next:
            self._instrument, self._next = self._next, None
            self._sound(None)
        self._instrument.stuck_after_s = self._stuck_after_s
        self._follow(self._line.pass_time(now_s))
        self._sound_last(self._instrument.pass_time(now_s))

    def lose(self, at_s: float) -> None:
        """The port is gone, and so is its sound."""
        self._follow(self._line.lose(at_s))
        self._sound(None)

    def _follow(self, messages: Iterable[Timed]) -> None:
        for timed in messages:
            self._sound_last(self._instrument.hear(timed))

    def _sound_last(self, changes: Iterable[Played]) -> None:
        for last in tuple(changes)[-1:]:
            self._sound(state_to_sound(last))
