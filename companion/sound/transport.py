"""Computes the place in a tune that is played, paused, moved and looped: arithmetic on clocks, no sound."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from companion.schedule.spans import Span


@dataclass(frozen=True, slots=True)
class Leg:
    """One leg of a tune's way: from `at_s` on a clock it is at `place_s` and runs on, or stands.

    rate_before, rate_after: seconds of the tune a second, before and from `at_s`: 1 while it runs, 0 while it stands.
    """

    at_s: float
    place_s: float
    rate_before: float
    rate_after: float

    def place_at(self, clock_s: float) -> float:
        """The place in the tune, in seconds, when the clock shows `clock_s`."""
        passed_s = clock_s - self.at_s
        return self.place_s + passed_s * (self.rate_after if passed_s >= 0.0 else self.rate_before)


class Transport:
    """Play, pause, seek and loop on two clocks: commands take effect at next_s(), what is heard is at heard_s().

    For a loudspeaker the second lags the first by what waits in the queue; without sound they are one clock.
    """

    def __init__(self, next_s: Callable[[], float], heard_s: Callable[[], float]) -> None:
        self._next_s = next_s
        self._heard_s = heard_s
        self._leg = Leg(next_s(), 0.0, 0.0, 0.0)
        self._end_s = 0.0
        self._loop: Span | None = None

    @property
    def loop(self) -> Span | None:
        """The stretch that is played over and over, None for none."""
        return self._loop

    @property
    def playing(self) -> bool:
        """Whether the tune runs; it stops by itself at its end."""
        return bool(self._leg.rate_after) and (self._loop is not None or self.position_s() < self._end_s)

    def position_s(self) -> float:
        """The place that is heard now, in seconds, 0 to the end of the tune."""
        return self._place_at(self._heard_s())

    def next_place_s(self) -> float:
        """The place at which a command given now takes effect: a little ahead of what is heard."""
        return self._place_at(self._next_s())

    def load(self, end_s: float, at_s: float) -> None:
        """Load another tune of `end_s` seconds, at `at_s`, without a loop."""
        running = self.playing
        self._end_s, self._loop = end_s, None
        self._go(at_s, running)

    def retime(self, end_s: float, at_s: float, loop: Span | None) -> None:
        """Load the tune at another pace: its new length is `end_s`, its place `at_s` and its loop `loop`."""
        rate = float(self.playing)
        self._end_s, self._loop = end_s, loop
        self._leg = Leg(self._next_s(), at_s, rate, rate)

    def play(self) -> None:
        """Play on; after the end, from the start."""
        if not self.playing:
            place_s = self.next_place_s()
            ended = self._loop is None and place_s >= self._end_s
            self._go(0.0 if ended else place_s, running=True)

    def pause(self) -> None:
        """Stop, keeping the place."""
        self._leg = Leg(self._next_s(), self.next_place_s(), self._leg.rate_after, 0.0)

    def seek(self, at_s: float) -> None:
        """Go to `at_s`, playing on if it played. The picture goes there at once and waits for the sound."""
        self._go(at_s, self.playing)

    def _go(self, at_s: float, running: bool) -> None:
        self._leg = Leg(self._next_s(), min(max(at_s, 0.0), self._end_s), 0.0, float(running))

    def set_loop(self, span: Span | None) -> None:
        """Play `span` over and over, from its start unless the tune is within it; None plays on to the end."""
        place_s = self.next_place_s()
        if span is not None and not span.holds(place_s):
            self.seek(span.start_s)
        elif self._loop is not None:
            self._leg = Leg(self._next_s(), place_s, self._leg.rate_after, self._leg.rate_after)
        self._loop = span

    def _place_at(self, clock_s: float) -> float:
        place_s = self._leg.place_at(clock_s)
        if self._loop is not None and place_s >= self._loop.end_s:
            length_s = self._loop.end_s - self._loop.start_s
            return self._loop.start_s + (place_s - self._loop.start_s) % length_s
        return min(max(place_s, 0.0), self._end_s)
