"""Computes the place in a tune that is played, paused, moved and repeated: arithmetic on clocks, no sound."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from companion.schedule.count_in import CountIn
from companion.schedule.practice.rounds import Going, RepeatRound, Turn
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
    """Play, pause, seek and repeat on two clocks: commands take effect at next_s(), what is heard is at heard_s().

    For a loudspeaker the second lags the first by what waits in the queue; without sound they are one clock.

    count_at: the count-in of a tune that starts at a place, None for none. It is asked for wherever playing starts;
    while it is counted in, the tune's place is before the one where it starts, and may be below 0. So it is in the rest
    between two rounds of what is repeated.
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
        self._rounds: tuple[RepeatRound, ...] = ()
        self._rank = self._done = 0  # of the round in which the leg begins

    @property
    def rounds(self) -> tuple[RepeatRound, ...]:
        """What is played over and over, none where nothing is."""
        return self._rounds

    @property
    def loop(self) -> Span | None:
        """The stretch of the round that is heard now, None where nothing is repeated."""
        return self.going.round.span if self.going else None

    @property
    def going(self) -> Going | None:
        """The round that is heard now, None where nothing is repeated."""
        return self._going_at(self._heard_s())

    @property
    def playing(self) -> bool:
        """Whether the tune runs, or is counted in; it stops by itself at its end."""
        return bool(self._leg.rate_after) and (bool(self._rounds) or self.position_s() < self._end_s)

    @property
    def count(self) -> CountIn | None:
        """The count-in or the rest between two rounds that is heard now, None while the tune runs."""
        return self._counted_at(self._heard_s())

    def position_s(self) -> float:
        """The place that is heard now, in seconds, 0 to the end of the tune; while it is counted in, before it."""
        return self._place_at(self._heard_s())

    def next_place_s(self) -> float:
        """The place at which a command given now takes effect: a little ahead of what is heard."""
        return self._place_at(self._next_s())

    def next_count(self) -> CountIn | None:
        """The count-in or rest under way where a command given now takes effect, None for none."""
        return self._counted_at(self._next_s())

    def next_rank(self) -> int:
        """The rank of the round that a command given now finds."""
        return self._rank_at(self._next_s())[0]

    def next_turn(self) -> Turn:
        """Whose turn a command given now finds."""
        return self._rounds[self.next_rank()].turn if self._rounds else Turn.TOOL

    def stands_s(self) -> float:
        """The place that a command given now finds: while the tune is counted in, the one where it starts."""
        count = self.next_count()
        return count.place_s if count else self.next_place_s()

    def load(self, end_s: float, at_s: float) -> None:
        """Load another tune of `end_s` seconds, at `at_s`, that is not repeated; if the one before ran, it is counted
        in.
        """
        running = self.playing
        self._end_s, self._rounds, self._rank, self._done = end_s, (), 0, 0
        self._go(at_s, running, counted=True)

    def retime(self, end_s: float, at_s: float, rounds: Sequence[RepeatRound]) -> None:
        """Load the tune at another pace: its new length is `end_s`, its place `at_s`, its rounds are as many as before.
        What is being counted in is counted anew; a rest between two rounds goes on.
        """
        count, rest_left = self.next_count(), self._rest_left()
        rate = float(self.playing)
        self._rank, self._done = self._rank_at(self._next_s())
        self._end_s, self._rounds = end_s, tuple(rounds)
        if rest_left is not None and (now := self._rounds[self._rank]).rest:
            self._go_on(now.span.start_s - now.rest_s * rest_left, rate, rate)
            self._count = now.rest
        elif count:
            self._go(at_s, bool(rate), counted=True)
        else:
            self._go_on(at_s, rate, rate)

    def play(self) -> None:
        """Play on, counted in; after the end, from the start."""
        if not self.playing:
            place_s = self.next_place_s()
            ended = not self._rounds and place_s >= self._end_s
            self._rank, self._done = self._rank_at(self._next_s())
            self._go(0.0 if ended else place_s, running=True, counted=True)

    def pause(self) -> None:
        """Stop, keeping the place; in a count-in, the one where the tune starts."""
        place_s, counting = self.stands_s(), self.next_count() is not None
        self._rank, self._done = self._rank_at(self._next_s())
        if counting:
            self._go(place_s, running=False, counted=False)
        else:
            self._go_on(place_s, self._leg.rate_after, 0.0)

    def seek(self, at_s: float) -> None:
        """Go to `at_s`, playing on if it played, and counting anew if it counted. The picture goes there at once and
        waits for the sound. Of the rounds it is the first whose stretch holds that place.
        """
        counting, running = self.next_count() is not None, self.playing
        self._rank, self._done = self._rank_holding(at_s), 0
        self._go(at_s, running, counted=counting)

    def count_anew(self) -> None:
        """Begin a count-in that is under way again; where none is wanted any more, the tune starts at once."""
        count = self.next_count()
        if count and not count.within:
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

    def repeat(self, rounds: Sequence[RepeatRound]) -> None:
        """Play these rounds over and over, from the first whose stretch holds the tune's place; if none does, from the
        start of the first. Of as many rounds as before, the present one goes on. Without any, play on to the end.
        """
        place_s, count = self.stands_s(), self.next_count()
        before, (rank, done) = self._rounds, self._rank_at(self._next_s())
        running = self.playing
        stays = len(rounds) == len(before) and bool(rounds) and rounds[rank].span.holds(place_s)
        self._rounds = tuple(rounds)
        self._rank, self._done = (rank, done) if stays else (self._rank_holding(place_s), 0)
        if rounds and not rounds[self._rank].span.holds(place_s):
            self._go(rounds[self._rank].span.start_s, running, counted=count is not None)
        elif count and count.within:
            self._go(place_s, running, counted=True)
        elif before and not count:
            self._go_on(place_s, self._leg.rate_after, self._leg.rate_after)

    def _rank_holding(self, place_s: float) -> int:
        return next((rank for rank, each in enumerate(self._rounds) if each.span.holds(place_s)), 0)

    def _rest_left(self) -> float | None:
        """How much of the rest before a round is left where a command given now takes effect, 1 to 0; None in none."""
        now = self._going_at(self._next_s())
        if now is None or not now.round.rest_s or self.next_count() is not now.round.rest:
            return None
        return (now.round.span.start_s - now.place_s) / now.round.rest_s

    def _counted_at(self, clock_s: float) -> CountIn | None:
        """The count-in or rest under way when the clock shows `clock_s`."""
        if self._count and self._leg.place_at(clock_s) < self._count.place_s:
            return self._count
        now = self._going_at(clock_s)
        return now.round.rest if now and now.done > self._done and now.resting else None

    def _rank_at(self, clock_s: float) -> tuple[int, int]:
        """The rank of the round when the clock shows `clock_s`, and how many went before it."""
        return self._walked(self._leg.place_at(clock_s))[:2]

    def _going_at(self, clock_s: float) -> Going | None:
        if not self._rounds:
            return None
        rank, done, place_s = self._walked(self._leg.place_at(clock_s))
        return Going(self._rounds[rank], done, place_s, len(self._rounds))

    def _place_at(self, clock_s: float) -> float:
        return self._walked(self._leg.place_at(clock_s))[2]

    def _walked(self, place_s: float) -> tuple[int, int, float]:
        """The rank of the round that a leg has reached which ran on to `place_s`, how many went before, the place in
        it."""
        rounds, rank, done = self._rounds, self._rank, self._done
        if not rounds or place_s < rounds[rank].span.end_s:
            return rank, done, min(max(place_s, min(0.0, self._leg.place_s)), self._end_s)
        times, left_s = divmod(place_s - rounds[rank].span.end_s, sum(each.whole_s for each in rounds))
        done += int(times) * len(rounds)
        while True:
            rank, done = (rank + 1) % len(rounds), done + 1
            if left_s < rounds[rank].whole_s:
                return rank, done, rounds[rank].span.start_s - rounds[rank].rest_s + left_s
            left_s -= rounds[rank].whole_s


def loop_frames(span: Span) -> tuple[int, int]:
    """The first frame of a loop and the one after its last."""
    start, end = round(span.start_s * SAMPLE_RATE_HZ), round(span.end_s * SAMPLE_RATE_HZ)
    return start, max(end, start + SHORTEST_LOOP_FRAMES)


def rest_frames(each: RepeatRound) -> int:
    """The frames of the rest before a round."""
    return round(each.rest_s * SAMPLE_RATE_HZ)


def whole_frames(rounds: Sequence[RepeatRound]) -> tuple[RepeatRound, ...]:
    """Rounds in whole frames, as the renderer plays them, so that picture and sound never drift apart."""
    return tuple(_in_whole_frames(each) for each in rounds)


def _in_whole_frames(each: RepeatRound) -> RepeatRound:
    start, end = loop_frames(each.span)
    span = Span(start / SAMPLE_RATE_HZ, end / SAMPLE_RATE_HZ)
    return replace(each, span=span, rest_s=rest_frames(each) / SAMPLE_RATE_HZ)
