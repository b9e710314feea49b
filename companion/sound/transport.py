"""Computes the place in a tune that is played, paused, moved and looped: arithmetic on clocks, no sound."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from companion.schedule.count_in import CountIn
from companion.schedule.spans import Span
from companion.sound.settings import FADE_FRAMES, SAMPLE_RATE_HZ

# Going round takes a fade at either end, and both must have their whole length.
SHORTEST_LOOP_FRAMES = 4 * FADE_FRAMES


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

    count_at: the count-in of a tune that starts at a place, None for none. It is asked for wherever playing starts;
    while it is counted in, the tune's place is before the one where it starts, and may be below 0.
    """

    def __init__(
        self,
        next_s: Callable[[], float],
        heard_s: Callable[[], float],
        count_at: Callable[[float], CountIn | None] = lambda place_s: None,
    ) -> None:
        self._next_s = next_s
        self._heard_s = heard_s
        self._count_at = count_at
        self._leg = Leg(next_s(), 0.0, 0.0, 0.0)
        self._count: CountIn | None = None
        self._end_s = 0.0
        self._loop: Span | None = None

    @property
    def loop(self) -> Span | None:
        """The stretch that is played over and over, None for none."""
        return self._loop

    @property
    def playing(self) -> bool:
        """Whether the tune runs, or is counted in; it stops by itself at its end."""
        return bool(self._leg.rate_after) and (self._loop is not None or self.position_s() < self._end_s)

    @property
    def count(self) -> CountIn | None:
        """The count-in that is heard now, None once the tune runs."""
        return self._counted_at(self._heard_s())

    def position_s(self) -> float:
        """The place that is heard now, in seconds, 0 to the end of the tune; while it is counted in, before it."""
        return self._place_at(self._heard_s())

    def next_place_s(self) -> float:
        """The place at which a command given now takes effect: a little ahead of what is heard."""
        return self._place_at(self._next_s())

    def next_count(self) -> CountIn | None:
        """The count-in under way where a command given now takes effect, None for none."""
        return self._counted_at(self._next_s())

    def stands_s(self) -> float:
        """The place that a command given now finds: while the tune is counted in, the one where it starts."""
        count = self.next_count()
        return count.place_s if count else self.next_place_s()

    def load(self, end_s: float, at_s: float) -> None:
        """Load another tune of `end_s` seconds, at `at_s`, without a loop; if the one before ran, it is counted in."""
        running = self.playing
        self._end_s, self._loop = end_s, None
        self._go(at_s, running, counted=True)

    def retime(self, end_s: float, at_s: float, loop: Span | None) -> None:
        """Load the tune at another pace: its new length is `end_s`, its place `at_s` and its loop `loop`. What is being
        counted in is counted anew.
        """
        counting = self.next_count() is not None
        rate = float(self.playing)
        self._end_s, self._loop = end_s, loop
        if counting:
            self._go(at_s, bool(rate), counted=True)
        else:
            self._go_on(at_s, rate, rate)

    def play(self) -> None:
        """Play on, counted in; after the end, from the start."""
        if not self.playing:
            place_s = self.next_place_s()
            ended = self._loop is None and place_s >= self._end_s
            self._go(0.0 if ended else place_s, running=True, counted=True)

    def pause(self) -> None:
        """Stop, keeping the place; in a count-in, the one where the tune starts."""
        if self.next_count():
            self._go(self.stands_s(), running=False, counted=False)
        else:
            self._go_on(self.next_place_s(), self._leg.rate_after, 0.0)

    def seek(self, at_s: float) -> None:
        """Go to `at_s`, playing on if it played, and counting anew if it counted. The picture goes there at once and
        waits for the sound.
        """
        self._go(at_s, self.playing, counted=self.next_count() is not None)

    def count_anew(self) -> None:
        """Begin a count-in that is under way again; where none is wanted any more, the tune starts at once."""
        if self.next_count():
            self.seek(self.stands_s())

    def _go(self, at_s: float, running: bool, *, counted: bool) -> None:
        place_s = min(max(at_s, 0.0), self._end_s)
        self._count = self._count_at(place_s) if running and counted else None
        begins_s = self._count.begins_s if self._count else place_s
        self._leg = Leg(self._next_s(), begins_s, 0.0, float(running))

    def _go_on(self, place_s: float, rate_before: float, rate_after: float) -> None:
        """Begin another leg at a place that the tune has reached, where nothing is counted any more."""
        self._count = None
        self._leg = Leg(self._next_s(), place_s, rate_before, rate_after)

    def set_loop(self, span: Span | None) -> None:
        """Play `span` over and over, from its start unless the tune is within it; None plays on to the end."""
        place_s = self.stands_s()
        if span is not None and not span.holds(place_s):
            self.seek(span.start_s)
        elif self._loop is not None and not self.next_count():
            self._go_on(place_s, self._leg.rate_after, self._leg.rate_after)
        self._loop = span

    def _counted_at(self, clock_s: float) -> CountIn | None:
        """The count-in under way when the clock shows `clock_s`: a loop goes round to its start uncounted."""
        return self._count if self._count and self._leg.place_at(clock_s) < self._count.place_s else None

    def _place_at(self, clock_s: float) -> float:
        place_s = self._leg.place_at(clock_s)
        if self._loop is not None and place_s >= self._loop.end_s:
            length_s = self._loop.end_s - self._loop.start_s
            return self._loop.start_s + (place_s - self._loop.start_s) % length_s
        return min(max(place_s, min(0.0, self._leg.place_s)), self._end_s)


def loop_frames(span: Span) -> tuple[int, int]:
    """The first frame of a loop and the one after its last."""
    start, end = round(span.start_s * SAMPLE_RATE_HZ), round(span.end_s * SAMPLE_RATE_HZ)
    return start, max(end, start + SHORTEST_LOOP_FRAMES)


def whole_frames(span: Span | None) -> Span | None:
    """A loop rounded to whole frames, as the renderer plays it, so that picture and sound never drift apart."""
    if span is None:
        return None
    start, end = loop_frames(span)
    return Span(start / SAMPLE_RATE_HZ, end / SAMPLE_RATE_HZ)
