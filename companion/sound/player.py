"""What a player of a schedule is, and the one that makes no sound and keeps the time that a window draws.

Neither numpy nor pygame is needed here: the first frame is drawn before there is any sound.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

from companion.schedule.count_in import CountIn, count_in
from companion.schedule.events import Schedule
from companion.schedule.practice.rounds import Going, Repeat, RepeatRound
from companion.schedule.spans import Span, moved_time
from companion.sound.settings import SoundSettings
from companion.sound.transport import Transport, whole_frames

if TYPE_CHECKING:  # it needs numpy
    from companion.sound.recorded_line import RecordedSound

Moved = Callable[[float], float]
"""A function from the moments of one schedule to those of another, both in seconds."""


class Player(Protocol):
    """The interface of a player, as a window uses it. Times are seconds of the schedule. Any thread may call.

    Wherever playing starts with the metronome on, the tune is counted in (`companion.schedule.count_in`): the clicks of
    the count sound alone, and the position runs up to the place where the tune starts. A pause goes back to that place;
    a seek or another pace counts anew. What is repeated is counted in before its first round only; the rest between two
    rounds is like a count-in, with the drones going on.
    """

    @property
    def playing(self) -> bool:
        """Whether the tune runs; it stops by itself at its end."""

    @property
    def loop(self) -> Span | None:
        """The stretch that is played over and over, of several the present one, None for none."""

    @property
    def going(self) -> Going | None:
        """The round that is heard now, None where nothing is repeated."""

    @property
    def count(self) -> CountIn | None:
        """The count-in, or the rest between two rounds, that is heard now, None while there is none."""

    @property
    def underruns(self) -> int:
        """How often the loudspeaker ran out of samples."""

    @property
    def trouble(self) -> str:
        """One line once the sound has failed: why, and what to do; "" before. The tune runs on, unheard."""

    def position_s(self) -> float:
        """The moment of the schedule that is heard now; in a count-in it is before the tune's start, even below 0."""

    def load(self, schedule: Schedule, at_s: float = 0.0, recorded: RecordedSound | None = None) -> None:
        """Load another tune, at `at_s`, without a loop; it plays if the one before did.

        recorded: a recording that sounds in place of the schedule's own notes and the drones, None for none.
        """

    def retime(self, schedule: Schedule) -> None:
        """Load the same performance at another tempo, slow-down or gracing: place and loop stay at the same notes."""

    def rewrite(self, schedule: Schedule, moved: Moved, repeat: Repeat | None) -> None:
        """Load the same tune as it was written anew, and go on in it without a stop.

        moved: from a moment of the schedule before to that of this one. repeat: what is played over and over from now
        on; of as many rounds as before, the present one goes on.
        """

    def play(self) -> None:
        """Play on; after the end, from the start."""

    def pause(self) -> None:
        """Stop, keeping the place."""

    def seek(self, at_s: float) -> None:
        """Go to `at_s`."""

    def set_loop(self, span: Span | None) -> None:
        """Play `span` over and over; None plays on to the end."""

    def repeat(self, repeat: Repeat | None) -> None:
        """Play stretches over and over, round by round; None plays on to the end."""

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
        self._repeat: Repeat | None = None
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
    def going(self) -> Going | None:
        """The round that would be heard now, None where nothing is repeated."""
        with self._lock:
            return self._transport.going

    @property
    def count(self) -> CountIn | None:
        """The count-in that is heard now, None while there is none."""
        with self._lock:
            return self._transport.count

    def position_s(self) -> float:
        """The moment of the schedule that would be heard now."""
        with self._lock:
            return self._transport.position_s()

    def load(self, schedule: Schedule, at_s: float = 0.0, recorded: RecordedSound | None = None) -> None:
        """Load another tune, at `at_s`, without a loop; it plays if the one before did."""
        with self._lock:
            self._schedule, self._repeat = schedule, None
            self._transport.load(schedule.duration_s, at_s)

    def retime(self, schedule: Schedule) -> None:
        """Load the same performance at another pace: place and loop stay at the same notes."""
        with self._lock:
            old, self._schedule = self._schedule or schedule, schedule
            self._repeat = retime(self._transport, self._repeat, old, schedule)

    def rewrite(self, schedule: Schedule, moved: Moved, repeat: Repeat | None) -> None:
        """Load the same tune as it was written anew, and go on in it without a stop."""
        with self._lock:
            self._schedule, self._repeat = schedule, repeat
            rewrite(self._transport, schedule, moved, repeat)

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
        self.repeat(Repeat((span,)) if span else None)

    def repeat(self, repeat: Repeat | None) -> None:
        """Play stretches over and over, round by round; None plays on to the end."""
        with self._lock:
            if not same(repeat, self._repeat):
                self._repeat = repeat
                self._transport.repeat(rounds_of(repeat, self._schedule))

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


def retime(transport: Transport, repeat: Repeat | None, old: Schedule, new: Schedule) -> Repeat | None:
    """Go on at the same notes of the performance at another pace; returns what is repeated at that."""
    moved = repeat.moved(old, new) if repeat else None
    transport.retime(new.duration_s, moved_time(old, new, transport.stands_s()), rounds_of(moved, new))
    return moved


def rewrite(transport: Transport, schedule: Schedule, moved: Moved, repeat: Repeat | None) -> None:
    """Go on in a tune that was written anew, with the rounds of what is repeated in it."""
    rounds = rounds_of(repeat, schedule)
    at_s, go_on = moved(transport.stands_s()), len(rounds) == len(transport.rounds)
    if not go_on:
        transport.repeat(())
    transport.retime(schedule.duration_s, at_s, rounds if go_on else ())
    if rounds and not (go_on and rounds[transport.next_rank()].span.holds(transport.stands_s())):
        transport.repeat(rounds)


def same(one: Repeat | None, other: Repeat | None) -> bool:
    """Whether both ask to repeat the same."""
    return one is other if one is None else one.is_near(other)


def rounds_of(repeat: Repeat | None, schedule: Schedule | None) -> tuple[RepeatRound, ...]:
    """The rounds of what is repeated, in whole frames; none before there is a tune."""
    return whole_frames(repeat.rounds(schedule)) if repeat and schedule else ()
