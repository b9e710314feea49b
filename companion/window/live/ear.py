"""The ear while a tune runs: hears what is played in, and says after each phrase what a teacher would."""

from __future__ import annotations

import enum
from collections.abc import Sequence
from dataclasses import dataclass, replace

from companion.listen.find.listener import Listener
from companion.listen.model.asked import Asked, ask_for
from companion.listen.model.findings import Finding
from companion.listen.model.played import Played
from companion.listen.model.strictness import Strictness
from companion.listen.model.terms import TakeTerms
from companion.listen.model.words import times_words
from companion.listen.take.credible import LEAST_NOTES, check_heard
from companion.listen.verdict.priority import most_urgent
from companion.listen.verdict.sentences import worst_of
from companion.schedule.events import Schedule
from companion.schedule.spans import phrase_starts_s
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.window.live.tune_run import TuneRun
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
    """What is told now: a few sentences, the most urgent first, and the findings that are marked in the lanes.

    lit: the finding that was heard a moment ago, if it is told at once.
    """

    lines: tuple[str, ...] = ()
    marked: tuple[Finding, ...] = ()
    lit: Finding | None = None


NOTHING_TOLD = Told()
MOST_LINES = 3
AT_ONCE_S = 6.0
"""A finding that is told at once stays to be read for this long."""

LIT_S = 1.5
"""Its finger stays lit for this long: long enough to be seen from the corner of an eye, and never a flash."""


PATIENT_BARS = 4
"""Bars that are heard before a doubt is told whether it is the tune: a beginner may stumble at its beginning."""


@dataclass(frozen=True, slots=True)
class _Heard:
    """What was found in a run of a tune up to now; `doubt` says why it is not believed, "" if it is."""

    run: TuneRun
    findings: tuple[Finding, ...] = ()
    doubt: str = ""


class LiveEar:
    """Listens to one run of a tune after the other. For the thread that draws; times are those of the tune."""

    def __init__(self) -> None:
        self.settings = EarSettings()
        self._now: _Heard | None = None
        self._before: _Heard | None = None
        self._asked: tuple[Tune, TakeTerms, Asked] | None = None
        self._listener: Listener | None = None

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What was found in the run that goes on."""
        return self._now.findings if self._now else ()

    def begin(self, run: TuneRun) -> None:
        """A run of a tune begins; the listener is made once something is played in it."""
        self.end()
        self._now = _Heard(run)

    def hear(self, played: Played) -> None:
        """Something was played, at a moment of the tune."""
        if self._now is None:
            return
        if self._listener is None:
            self._listener = self._listener_to(self._now.run)
        try:
            self._add(self._listener.feed(played))
        except UserError:  # time went back, as where a loop begins again: what follows is another run
            self.begin(self._now.run)
            self.hear(played)

    def pass_time(self, now_s: float) -> None:
        """The tune stands at `now_s`."""
        if self._listener is not None:
            self._add(self._listener.advance(now_s))

    def end(self) -> None:
        """The run is over: what is left to be said is said."""
        if self._listener is not None:
            self._add(self._listener.finish())
            self._before = self._now
        self._listener, self._now = None, None

    def _listener_to(self, run: TuneRun) -> Listener:
        """One that listens as `judge` does to the take of a run."""
        return Listener(self._asked_in(run), self.settings.strictness)

    def _asked_in(self, run: TuneRun) -> Asked:
        """What a run asks for: worked out once, since a loop begins a run each time."""
        tune, terms = run.tune, run.terms
        if self._asked is None or self._asked[0] is not tune or self._asked[1] != terms:
            self._asked = tune, terms, ask_for(tune, terms)
        return self._asked[2]

    def _add(self, found: Sequence[Finding]) -> None:
        if self._now and self._listener and (found or self._now.doubt):
            doubt = doubt_about(self._now.run.tune, self._asked_in(self._now.run), self._listener)
            self._now = replace(self._now, findings=(*self._now.findings, *found), doubt=doubt)

    def told(self, tune: Tune, timing: Timing, schedule: Schedule, now_s: float) -> Told:
        """What is to be read while the tune stands at `now_s` of its schedule in that timing."""
        now, before = self._now, self._before
        if now is None:
            return all_told(before, tune, timing)
        if now.doubt and self.settings.feedback is not Feedback.AT_END:
            return Told((now.doubt,))
        match self.settings.feedback:
            case Feedback.AT_ONCE:
                return told_at_once(now.findings, now_s)
            case Feedback.AFTER_PHRASE:
                starts_s = phrases_begun(tune, schedule, now_s)
                if now.run.position_s >= starts_s[-1] or len(starts_s) < 2:
                    return Told(all_told(before, tune, timing).lines)
                done = finished(now.findings, schedule, starts_s)
                return Told(sentences(done), done)
        return NOTHING_TOLD


def doubt_about(tune: Tune, asked: Asked, listener: Listener) -> str:
    """Why what is played does not seem to be the tune; nothing while it may be, and in its first bars it may always."""
    if listener.tally.heard_notes < max(LEAST_NOTES, first_notes(asked)):
        return ""
    try:
        check_heard(asked, listener.tally, tune.title or "the tune")
    except UserError as error:
        return error.what
    return ""


def first_notes(asked: Asked) -> int:
    """How many notes sound in a tune's first bars, gracenotes too; before so many nobody is told to play another."""
    turns = [asked.played(asked.melody_of(token)).turn for token in range(len(asked.tokens))]
    first = sorted(set(turns))[:PATIENT_BARS]
    return sum(turn in first for turn in turns)


def all_told(heard: _Heard | None, tune: Tune, timing: Timing) -> Told:
    """A run that is over. Where the tune has another timing since, nothing can be marked in its lanes."""
    if heard is None or heard.run.tune is not tune:
        return NOTHING_TOLD
    if heard.doubt:
        return Told((heard.doubt,))
    return Told(sentences(heard.findings), heard.findings if heard.run.timing == timing else ())


def told_at_once(findings: Sequence[Finding], now_s: float) -> Told:
    """The latest findings in words, all of them marked, the very latest lit."""
    recent = tuple(each for each in findings if now_s - each.at_s <= AT_ONCE_S)
    lit = recent[-1] if recent and now_s - recent[-1].at_s <= LIT_S else None
    return Told(tuple(each.text for each in recent[-MOST_LINES:]), tuple(findings), lit)


def phrases_begun(tune: Tune, schedule: Schedule, now_s: float) -> list[float]:
    """When the phrases up to the one in which the tune stands began: that one at least."""
    starts_s = phrase_starts_s(tune, schedule)
    return [start for start in starts_s if start <= now_s] or starts_s[:1]


def finished(findings: Sequence[Finding], schedule: Schedule, starts_s: Sequence[float]) -> tuple[Finding, ...]:
    """The findings of the phrase before the one in which the tune stands."""
    before_s, current_s = starts_s[-2:]
    return tuple(each for each in findings if before_s <= schedule.note_onsets_s[each.played] < current_s)


def sentences(findings: Sequence[Finding]) -> tuple[str, ...]:
    """One sentence for each thing to mend, the most urgent first, at most MOST_LINES."""
    groups = most_urgent(findings)[:MOST_LINES]
    return tuple(worst_of(group).text + (f" ({times_words(len(group))})" if len(group) > 1 else "") for group in groups)


def at_tune_time(played: Played, at_s: float) -> Played:
    """A copy of the event with `at_s` as its time."""
    return replace(played, at_s=at_s)
