"""The computer's keys as something that is played in."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator

from companion.midi.maps.instrument import HoleInstrument
from companion.midi.maps.keys import KEYS_MAP, KeyChanter, KeyLayout, KeySource
from companion.midi.maps.touch import Touch
from companion.midi.ports.monitor import Sound, state_to_sound
from companion.midi.stream.line import Timed

KEYS_NAME = "the computer's keys"


class PlayedKeys:
    """Keys go in as the window reads them and sound at once; their messages wait for the frame that fetches them.

    caps: what is printed on the eight keys, the thumb's first.
    """

    def __init__(
        self,
        layout: KeyLayout,
        touch: Touch,
        caps: tuple[str, ...],
        sound: Sound,
        clock: Callable[[], float] = time.perf_counter,
    ) -> None:
        self.name = KEYS_NAME
        self.caps = caps
        self.touch = touch
        self.last_message_s: float | None = None
        self._layout = layout
        self._chanter = KeyChanter(layout, touch)
        self._sound = sound
        self._heard = HoleInstrument(KEYS_MAP)
        self._clock = clock
        self._waiting = KeySource()

    @property
    def drops_keys(self) -> bool:
        """Whether the keyboard seems to lose some of many keys."""
        return self._chanter.watch.seems_to_drop_keys

    def takes(self, scancode: int) -> bool:
        """Whether a key is one of the eight."""
        return self._layout.finger(scancode) is not None

    def move(self, scancode: int, *, down: bool) -> None:
        """A key went down or came up."""
        now_s = self._clock()
        self._put(self._chanter.press(scancode, now_s) if down else self._chanter.release(scancode, now_s))

    def let_go(self) -> None:
        """The window lost the keyboard."""
        self._put(self._chanter.let_go(self._clock()))

    def fetch(self) -> Iterator[Timed]:
        """What came since the last call, in order."""
        for played in self._heard.pass_time(self._clock()):
            self._sound(state_to_sound(played))
        yield from self._waiting.fetch()

    def _put(self, messages: Iterable[Timed]) -> None:
        for timed in messages:
            self.last_message_s = timed.at_s
            self._waiting.put((timed,))
            for played in self._heard.hear(timed):
                self._sound(state_to_sound(played))
