"""How the clock of what is played in goes with the time of the tune that runs beside it; and free play, without a tune,
in pieces from a first note to a long silence."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from companion.listen.model.played import Played, Sounded
from companion.listen.model.terms import TakeTerms
from companion.schedule.stretch import Stretch
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.score.setting import Setting

PAUSE_S = 8.0
"""Where no note begins or ends for as long a piece is over: nobody stops so long within a tune, and many an electronic
chanter never falls silent. A choice, no source."""

FEWEST_EVENTS = 8
"""Fewer are a try of the instrument, and no piece that could be written down."""

MOST_EVENTS = 90_000
"""As many as a take holds (`companion.midi.takes.recorder`)."""

JUMP_S = 0.2
"""The tune's time and the clock may part by this much from one frame to the next before it counts as a jump."""


@dataclass(frozen=True, slots=True)
class TuneRun:
    """The tune runs and stands at `position_s` of its schedule when the clock of what is played shows `at_s`.

    metronome: whether it sounds with the tune. setting: what the learner plays otherwise, by habit. starts_s: where the
    tune started, if it was counted in: up to there the position is before it, and what is played is not judged; None
    where it was not. kept: whether a take is made of what is played. stretch: what is repeated, None where it
    is all of the tune, or nothing.
    """

    tune: Tune
    timing: Timing
    at_s: float
    position_s: float
    metronome: bool = False
    setting: Setting = ()
    starts_s: float | None = None
    kept: bool = True
    stretch: Stretch | None = None

    @property
    def listened_for(self) -> Setting:
        """The setting that is asked for while the tune runs: no added notes, which would give those after them other
        places than they have in the picture."""
        return tuple(each for each in self.setting if not each.added)

    @property
    def terms(self) -> TakeTerms:
        """How the player is asked to play along: as the take of this run will be judged."""
        return TakeTerms.of(self.tune, self.timing, metronome=self.metronome, stretch=self.stretch)

    @property
    def asked_from_s(self) -> float:
        """Where in the tune the run begins, without its count-in."""
        return self.position_s if self.starts_s is None else max(self.position_s, self.starts_s)

    def following(self, before: TuneRun) -> TuneRun:
        """This run, of which `before` was told a moment earlier: it was counted in as that one was."""
        return self if self.starts_s is not None else replace(self, starts_s=before.starts_s)

    def position_at(self, clock_s: float) -> float:
        """The tune's time at another reading of the clock, in the same run."""
        return self.position_s + clock_s - self.at_s

    def goes_on(self, before: TuneRun) -> bool:
        """Whether this is the same run of the same tune a moment later, without a jump."""
        tune, timing, metronome = before.tune, before.timing, before.metronome
        same = self.tune is tune and self.timing == timing and self.metronome == metronome
        same = same and self.setting == before.setting and self.stretch == before.stretch
        return same and abs(before.position_at(self.at_s) - self.position_s) < JUMP_S


@dataclass(frozen=True, slots=True)
class FreeRun:
    """Somebody plays freely since `began_s`, and the clock of what is played shows `at_s`."""

    began_s: float
    at_s: float

    def goes_on(self, before: object) -> bool:
        """Whether this is the same piece a moment later."""
        return isinstance(before, FreeRun) and before.began_s == self.began_s


class FreePieces:
    """Follows free play, and holds the piece in hand and the last one before it that is long enough. For one thread."""

    def __init__(self) -> None:
        self._begun_s: float | None = None
        self._events: list[Played] = []
        self._before: list[Played] = []

    def follow(self, now_s: float, played: Iterable[Played], *, quiet_since_s: float) -> FreeRun | None:
        """One frame: what was played since the last one. Returns the piece that is played now, None between two.

        quiet_since_s: since when no note has begun or ended.
        """
        came = list(played)
        if self._begun_s is None and came:
            self._begun_s = came[0].at_s
            if len(self._events) >= FEWEST_EVENTS:
                self._before = self._events
            self._events = []
        self._events += came[: max(0, MOST_EVENTS - len(self._events))]
        if not came and now_s - quiet_since_s > PAUSE_S:
            self._begun_s = None
        return None if self._begun_s is None else FreeRun(self._begun_s, now_s)

    def end(self) -> None:
        """What is played from now on is no part of the piece in hand."""
        self._begun_s = None

    def piece(self, now_s: float) -> tuple[Played, ...]:
        """The piece in hand, or the last one; the one before where that one is too short to be any.

        A note that sounds on ends now, or where a pause would.
        """
        events = self._events if len(self._events) >= FEWEST_EVENTS else self._before or self._events
        if not events:
            return ()
        last_s = events[-1].at_s
        return (*events, Sounded(max(last_s, min(now_s, last_s + PAUSE_S)), None))
