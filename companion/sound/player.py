"""What a player of a schedule is, and the one that makes no sound and keeps the time that a window draws.

Neither numpy nor pygame is needed here: the first frame is drawn before there is any sound.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from typing import Protocol

from companion.schedule.count_in import CountIn, count_in
from companion.schedule.events import Schedule
from companion.schedule.spans import Span, moved_time
from companion.sound.settings import SoundSettings
from companion.sound.transport import Transport, whole_frames


class Player(Protocol):
    """The interface of a player, as a window uses it. Times are seconds of the schedule. Any thread may call.

    Wherever playing starts with the metronome on, the tune is counted in (`companion.schedule.count_in`): the clicks of
    the count sound alone, and the position runs up to the place where the tune starts. A pause goes back to that place;
    a seek or another pace counts anew. A loop is counted in before its first time only.
    """

    @property
    def playing(self) -> bool:
        """Whether the tune runs; it stops by itself at its end."""

    @property
    def loop(self) -> Span | None:
        """The stretch that is played over and over, None for none."""

    @property
    def count(self) -> CountIn | None:
        """The count-in that is heard now, None while there is none."""

    @property
    def underruns(self) -> int:
        """How often the loudspeaker ran out of samples."""

    @property
    def trouble(self) -> str:
        """One line once the sound has failed: why, and what to do; "" before. The tune runs on, unheard."""

    def position_s(self) -> float:
        """The moment of the schedule that is heard now; in a count-in it is before the tune's start, even below 0."""

    def load(self, schedule: Schedule, at_s: float = 0.0) -> None:
        """Load another tune, at `at_s`, without a loop; it plays if the one before did."""

    def retime(self, schedule: Schedule) -> None:
        """Load the same performance at another tempo, slow-down or gracing: place and loop stay at the same notes."""

    def play(self) -> None:
        """Play on; after the end, from the start."""

    def pause(self) -> None:
        """Stop, keeping the place."""

    def seek(self, at_s: float) -> None:
        """Go to `at_s`."""

    def set_loop(self, span: Span | None) -> None:
        """Play `span` over and over; None plays on to the end."""

    def set_sound(self, settings: SoundSettings) -> None:
        """Change levels, voice, pitch or tuning from now on."""

    def close(self) -> None:
        """Stop, and release what was opened."""


class SilentPlayer:
    """A player that makes no sound and keeps the time, on the clock that it is given (seconds)."""

    underruns = 0
    trouble = ""

    def __init__(self, clock: Callable[[], float] = time.perf_counter) -> None:
        self._lock = threading.Lock()
        self._transport = Transport(clock, clock, self._count_at)
        self._schedule: Schedule | None = None
        self._metronome = False

    @property
    def playing(self) -> bool:
        """Whether the tune runs; it stops by itself at its end."""
        with self._lock:
            return self._transport.playing

    @property
    def loop(self) -> Span | None:
        """The stretch that is played over and over, None for none."""
        with self._lock:
            return self._transport.loop

    @property
    def count(self) -> CountIn | None:
        """The count-in that is heard now, None while there is none."""
        with self._lock:
            return self._transport.count

    def position_s(self) -> float:
        """The moment of the schedule that would be heard now."""
        with self._lock:
            return self._transport.position_s()

    def load(self, schedule: Schedule, at_s: float = 0.0) -> None:
        """Load another tune, at `at_s`, without a loop; it plays if the one before did."""
        with self._lock:
            self._schedule = schedule
            self._transport.load(schedule.duration_s, at_s)

    def retime(self, schedule: Schedule) -> None:
        """Load the same performance at another pace: place and loop stay at the same notes."""
        with self._lock:
            old, self._schedule = self._schedule or schedule, schedule
            retime(self._transport, old, schedule)

    def play(self) -> None:
        """Play on; after the end, from the start."""
        with self._lock:
            self._transport.play()

    def pause(self) -> None:
        """Stop, keeping the place."""
        with self._lock:
            self._transport.pause()

    def seek(self, at_s: float) -> None:
        """Go to `at_s`."""
        with self._lock:
            self._transport.seek(at_s)

    def set_loop(self, span: Span | None) -> None:
        """Play `span` over and over; None plays on to the end."""
        with self._lock:
            self._transport.set_loop(whole_frames(span))

    def set_sound(self, settings: SoundSettings) -> None:
        """Nothing sounds, but with the metronome on a tune is counted in."""
        with self._lock:
            self._metronome = settings.metronome_level > 0.0
            if not self._metronome:
                self._transport.count_anew()

    def close(self) -> None:
        """Do nothing: nothing was opened."""

    def _count_at(self, place_s: float) -> CountIn | None:
        return count_in(self._schedule, place_s) if self._schedule and self._metronome else None


def retime(transport: Transport, old: Schedule, new: Schedule) -> None:
    """Go on at the same notes of the performance at another pace."""
    loop = transport.loop
    moved = loop and Span(moved_time(old, new, loop.start_s), moved_time(old, new, loop.end_s))
    transport.retime(new.duration_s, moved_time(old, new, transport.stands_s()), whole_frames(moved))
