"""The ear while a tune runs: hears what is played in, and says after each phrase what a teacher would."""

from __future__ import annotations

import enum
from collections.abc import Sequence
from dataclasses import dataclass, replace

from companion.listen.asked import ask
from companion.listen.findings import Finding
from companion.listen.listener import Listener
from companion.listen.played import Played
from companion.listen.strictness import Strictness
from companion.listen.verdict import most_urgent
from companion.schedule.build import build_schedule
from companion.schedule.events import Schedule
from companion.schedule.spans import phrase_starts_s
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.window.tune_run import TuneRun
from fingering.errors import UserError


class Feedback(enum.Enum):
    """When what was found is told: the less often, the better it is kept (Winstein & Schmidt 1990, its abstract)."""

    AFTER_PHRASE = "told after the phrase"
    AT_END = "told at the end"
    AT_ONCE = "told at once"


@dataclass(frozen=True, slots=True)
class EarSettings:
    """When findings are told, and how strict a teacher listens."""

    feedback: Feedback = Feedback.AFTER_PHRASE
    strictness: Strictness = Strictness.USUAL


@dataclass(frozen=True, slots=True)
class Told:
    """What is told now: a few sentences, the most urgent first, and the findings that are marked in the lanes."""

    lines: tuple[str, ...] = ()
    marked: tuple[Finding, ...] = ()


NOTHING_TOLD = Told()
MOST_LINES = 3
AT_ONCE_S = 6.0
"""A finding that is told at once stays to be read for this long."""


class LiveEar:
    """Listens to one run of a tune after the other. For the thread that draws; times are those of the tune."""

    def __init__(self) -> None:
        self.settings = EarSettings()
        self.findings: tuple[Finding, ...] = ()
        self.last_run: tuple[Finding, ...] = ()
        self._run: TuneRun | None = None
        self._listener: Listener | None = None

    def begin(self, run: TuneRun) -> None:
        """A run of a tune begins; the listener is made once something is played in it."""
        self.end()
        self._run = run

    def hear(self, played: Played) -> None:
        """Something was played, at a moment of the tune."""
        if self._run is None:
            return
        if self._listener is None:
            asked = ask(build_schedule(self._run.tune, Timing()))
            self._listener = Listener(asked, self.settings.strictness)
        try:
            self._add(self._listener.feed(played))
        except UserError:  # time went back, as where a loop begins again: what follows is another run
            self.begin(self._run)

    def pass_time(self, now_s: float) -> None:
        """The tune stands at `now_s`."""
        if self._listener is not None:
            self._add(self._listener.advance(now_s))

    def end(self) -> None:
        """The run is over: what is left to be said is said."""
        if self._listener is not None:
            self._add(self._listener.finish())
            self.last_run = self.findings
        self._listener, self._run, self.findings = None, None, ()

    def _add(self, found: Sequence[Finding]) -> None:
        if found:
            self.findings = (*self.findings, *found)

    def told(self, tune: Tune, schedule: Schedule, now_s: float) -> Told:
        """What is to be read while the tune stands at `now_s`."""
        running = self._run is not None
        match self.settings.feedback:
            case Feedback.AT_ONCE:
                recent = tuple(each for each in self.findings if now_s - each.at_s <= AT_ONCE_S)
                return Told(tuple(each.text for each in recent[-MOST_LINES:]), self.findings)
            case Feedback.AFTER_PHRASE if running:
                done = finished(self.findings, tune, schedule, now_s)
                return Told(sentences(done or (() if self.findings else self.last_run)), done)
            case Feedback.AT_END if running:
                return Told()
            case _:
                return Told(sentences(self.last_run), self.last_run)


def finished(findings: Sequence[Finding], tune: Tune, schedule: Schedule, now_s: float) -> tuple[Finding, ...]:
    """The findings of the phrase before the one in which the tune stands."""
    starts_s = [start for start in phrase_starts_s(tune, schedule) if start <= now_s]
    if len(starts_s) < 2:
        return ()
    before_s, current_s = starts_s[-2], starts_s[-1]
    return tuple(each for each in findings if before_s <= schedule.note_onsets_s[each.played] < current_s)


def sentences(findings: Sequence[Finding]) -> tuple[str, ...]:
    """One sentence for each thing to mend, the most urgent first, at most MOST_LINES."""
    groups = most_urgent(findings)[:MOST_LINES]
    return tuple(group[0].text + (f" ({len(group)} times)" if len(group) > 1 else "") for group in groups)


def at_tune_time(played: Played, at_s: float) -> Played:
    """The same event at another moment."""
    return replace(played, at_s=at_s)
