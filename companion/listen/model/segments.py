"""Reduces what a player did to sounding notes, one after another, with the hole states passed on the way."""

from __future__ import annotations

from dataclasses import dataclass, field

from companion.listen.model.played import Fingered, Played
from fingering.chart import sounded
from fingering.errors import UserError
from fingering.holes import HoleState
from fingering.notes import Note

INAUDIBLE_S = 0.003
"""What sounds for less is not heard at all: gap and doubling thresholds are 2 to 3 ms (Gelfand; Watson 2004)."""

SILENCE_S = 0.080
"""A shorter silence belongs to the note before it: a detached touch on a keyboard, not a stop. Twice a gracenote."""

SETTLED_S = 0.150
"""A note that sounds this long is a note of its own, whatever it turns out to last: well past every gracenote."""


@dataclass(frozen=True, slots=True)
class HoleChange:
    """The holes were in `state` from `at_s` on."""

    at_s: float
    state: HoleState


@dataclass(slots=True)
class Segment:
    """One sounding note: its rank, onset and, once it is over, its end. `silence_s` is the silence just before it.

    `holes` are the states it sounded in, where the fingers are known.
    """

    rank: int
    note: Note
    onset_s: float
    silence_s: float = 0.0
    end_s: float | None = None
    holes: list[HoleChange] = field(default_factory=list)

    def lasted_s(self) -> float:
        """Its length, or how long it must have lasted by now: it is read once it is over or settled."""
        return SETTLED_S if self.end_s is None else self.end_s - self.onset_s


class Segmenter:
    """Turns events into segments, each handed on as soon as it is over or has settled, in order of time."""

    def __init__(self) -> None:
        self._now_s = float("-inf")
        self._open: Segment | None = None
        self._last: Segment | None = None
        self._handed_on = 0
        self._quiet_from_s: float | None = None
        self._passing: list[HoleChange] = []
        self._ready: list[Segment] = []

    def feed(self, event: Played) -> list[Segment]:
        """Take one event; returns the segments that can now be read. Raises UserError when time runs backwards."""
        if event.at_s < self._now_s:
            raise UserError(
                f"the take goes back in time, from {self._now_s:.3f} s to {event.at_s:.3f} s",
                "record it again, or mend the file",
            )
        self._pass_time(event.at_s)
        if isinstance(event, Fingered):
            self._sound(event.at_s, sounded(event.state), HoleChange(event.at_s, event.state))
        elif event.note is not None:
            self._sound(event.at_s, event.note, None)
        elif self._quiet_from_s is None:
            self._quiet_from_s = event.at_s
        return self._take_ready()

    def advance(self, now_s: float) -> list[Segment]:
        """Let time pass with nothing new; returns the segment that has settled by now, if one has."""
        self._pass_time(now_s)
        return self._take_ready()

    def finish(self) -> list[Segment]:
        """The take is over; returns what is left. A note that still sounds ends with the take; of one that begins just
        then it is not known how long it was to be."""
        held, quiet_from_s = self._open, self._quiet_from_s
        if held is not None and quiet_from_s is None and self._now_s - held.onset_s < INAUDIBLE_S:
            self._hand_on(held)
        elif held is not None:
            self._end(self._now_s if quiet_from_s is None else quiet_from_s)
        return self._take_ready()

    def _take_ready(self) -> list[Segment]:
        ready, self._ready = self._ready, []
        return ready

    def _pass_time(self, now_s: float) -> None:
        self._now_s = max(self._now_s, now_s)
        held, quiet_from_s = self._open, self._quiet_from_s
        if held is None:
            return
        sounds_until_s = now_s if quiet_from_s is None else quiet_from_s
        if sounds_until_s - held.onset_s >= SETTLED_S:
            self._hand_on(held)
        if quiet_from_s is not None and now_s - quiet_from_s >= SILENCE_S:
            self._end(quiet_from_s)

    def _sound(self, at_s: float, note: Note, holes: HoleChange | None) -> None:
        held = self._open
        if held is None or held.note is not note:
            silence_s = 0.0
            if held is not None:
                self._end(at_s)
            elif self._quiet_from_s is not None and self._handed_on:
                silence_s = at_s - self._quiet_from_s
            held = self._open = Segment(self._handed_on, note, at_s, silence_s, holes=self._passing)
            self._passing = []
        self._quiet_from_s = None
        if holes is not None:
            held.holes.append(holes)

    def _end(self, at_s: float) -> None:
        held, self._open = self._open, None
        assert held is not None
        if at_s - held.onset_s < INAUDIBLE_S:
            self._passing = held.holes
            if self._last is not None and not held.silence_s:
                self._last.end_s = at_s
            return
        held.end_s = at_s
        self._hand_on(held)

    def _hand_on(self, segment: Segment) -> None:
        if segment.rank == self._handed_on:
            self._handed_on += 1
            self._last = segment
            self._ready.append(segment)
