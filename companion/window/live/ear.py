"""The ear while a tune runs: hears what is played in, and tells it when the learner chose."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from companion.listen.find.listener import Listener
from companion.listen.model.asked import Asked, ask_for
from companion.listen.model.counted_in import CountedInGate
from companion.listen.model.findings import Finding
from companion.listen.model.played import Played
from companion.listen.model.strictness import Strictness
from companion.listen.model.terms import TakeTerms
from companion.listen.take.credible import LEAST_NOTES, check_heard
from companion.schedule.events import Schedule
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.score.setting import Setting, in_setting
from companion.window.lanes.told import MOST_LINES, NOTHING_TOLD, EarSettings, Feedback, Told
from companion.window.live.microphone.run_sound import RunSound
from companion.window.live.second_hearing import NO_OTHERS, HeardRun, SecondHearing, Turn
from companion.window.live.telling import (
    ANOTHER_TUNE,
    Noticed,
    most_urgent_brief,
    phrases_begun,
    sentences,
    told_after_phrase,
    told_at_once,
)
from companion.window.live.tune_run import JUMP_S, TuneRun
from fingering.errors import UserError

PATIENT_BARS = 4
"""Bars that are heard before a doubt is told whether it is the tune: a beginner may stumble at its beginning."""


@dataclass(frozen=True, slots=True)
class _Hearing:
    """What was found in a run of a tune up to now; `doubt` says why it is not believed, "" if it is.

    settled: what is found for good; likely: what may yet be given up.
    """

    run: TuneRun
    settled: tuple[Noticed, ...] = ()
    likely: tuple[Noticed, ...] = ()
    doubt: str = ""

    @property
    def noticed(self) -> tuple[Noticed, ...]:
        """All that is told."""
        return (*self.settled, *self.likely)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All that was found."""
        return tuple(each.finding for each in self.noticed)

    def with_more(self, found: Sequence[Finding], likely: Sequence[Finding], now_s: float) -> _Hearing:
        """What was found by `now_s`: `found` is settled now. What was told as likely was told then."""
        since_s = {each.finding: each.since_s for each in self.likely}
        more, maybe = (
            tuple(Noticed(each, since_s.get(each, now_s)) for each in findings) for findings in (found, likely)
        )
        return replace(self, settled=(*self.settled, *more), likely=maybe)


class LiveEar:
    """Listens to one run of a tune after the other. For the thread that draws; times are those of the tune.

    turn: held while a run is heard a second time; ears that hear at once share one, or a frame would wait for them all.
    sound: that of the run in hand, from which it is then heard a second time; None where none is kept.
    """

    def __init__(self, turn: Turn = NO_OTHERS) -> None:
        self._turn = turn
        self.settings = EarSettings()
        self.sound: RunSound | None = None
        self._now: _Hearing | None = None
        self._before: SecondHearing | None = None
        self._asked: tuple[tuple[Tune, Setting, TakeTerms], Asked] | None = None
        self._listener: Listener | None = None
        self._strictness = Strictness.USUAL
        self._gate: CountedInGate | None = None
        self._events: list[Played] = []
        self._now_s = 0.0

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What was found in the run that goes on, what may yet be given up as well."""
        return self._now.findings if self._now else ()

    @property
    def hears(self) -> bool:
        """Whether anything was played in the run that goes on."""
        return bool(self._events)

    @property
    def before(self) -> SecondHearing | None:
        """The run before the one that goes on, in which something was played, as it is heard a second time."""
        return self._before

    @property
    def trouble(self) -> str:
        """The line for the screen where a run could not be heard a second time, "" elsewhere."""
        return self._before.trouble if self._before else ""

    def begin(self, run: TuneRun, held: Played | None = None) -> None:
        """A run of a tune begins; the listener is made once something is played in it. held: what sounds already."""
        self.end()
        self._now, self._now_s = _Hearing(run), run.position_s
        self._gate = None
        if run.starts_s is not None or held:
            self._gate = CountedInGate(run.asked_from_s)
        if self._gate and held:
            self._gate.hold(held)

    def hear(self, played: Played) -> None:
        """Something was played, at a moment of the tune; during its count-in it is not heard.

        The tune's time and the clock of what is played stray a little from frame to frame: what seems to come before
        what was heard already comes with it.
        """
        if self._now is None:
            return
        for heard in self._gate.feed(played) if self._gate else (played,):
            self._hear(self._now, heard)

    def _hear(self, now: _Hearing, played: Played) -> None:
        if self._listener is None:
            self._strictness = self.settings.strictness
            self._listener = Listener(self._asked_in(now.run), self._strictness)
        elif self._now_s - JUMP_S < played.at_s < self._now_s:
            played = at_tune_time(played, self._now_s)
        try:
            found = self._listener.feed(played)
        except UserError:  # time went back, as where a loop begins again: what follows is another run
            self.begin(replace(now.run, position_s=now.run.asked_from_s, starts_s=None))
            self.hear(played)
            return
        self._events.append(played)
        self._add(found, played.at_s)

    def pass_time(self, now_s: float) -> None:
        """The tune stands at `now_s`, or stood there when the last of what is known by now was played."""
        if self._listener is not None:
            now_s = max(now_s, self._now_s)
            self._add(self._listener.advance(now_s), now_s)

    def end(self) -> None:
        """The run is over: what is left to be said is said, and all of it is heard a second time."""
        if self._listener is not None and self._now is not None:
            self._add(self._listener.finish(), self._now_s)
            hearing, sounded_s = self._now, tuple(each.at_s for each in self._events)
            asked = self._asked_in(hearing.run)
            live = HeardRun(hearing.run, asked, hearing.findings, hearing.doubt, sounded_s)
            self._before = SecondHearing(live, self._events, self._now_s, self._strictness, self._turn, self.sound)
        elif self._now is not None and self.sound is not None and self.sound.sounded_untold:
            live = HeardRun(self._now.run, self._asked_in(self._now.run))
            self._before = SecondHearing(live, (), self._now_s, self.settings.strictness, self._turn, self.sound)
        self._listener, self._now, self._events = None, None, []

    def wait(self) -> None:
        """Until the run that is over was heard a second time."""
        if self._before:
            self._before.wait()

    def _asked_in(self, run: TuneRun) -> Asked:
        """What a run asks for: worked out once, since a loop begins a run each time."""
        wanted = run.tune, run.listened_for, run.terms
        if self._asked is None or self._asked[0][0] is not run.tune or self._asked[0][1:] != wanted[1:]:
            self._asked = wanted, ask_for(in_setting(run.tune, run.listened_for), run.terms)
        return self._asked[1]

    def _add(self, found: Sequence[Finding], now_s: float) -> None:
        self._now_s = max(self._now_s, now_s)
        if self._now is None or self._listener is None:
            return
        likely = self._listener.likely
        if found or likely or self._now.likely:
            self._now = self._now.with_more(found, likely, now_s)
        if found or self._now.doubt:
            doubt = doubt_about(self._now.run.tune, self._asked_in(self._now.run), self._listener)
            self._now = replace(self._now, doubt=doubt)

    def told(self, tune: Tune, timing: Timing, schedule: Schedule, now_s: float) -> Told:
        """What is to be read while the tune stands at `now_s` of its schedule in that timing."""
        now, before = self._now, self._before.heard if self._before else None
        if now is None:
            return all_told(before, tune, timing)
        if self.settings.feedback is Feedback.AT_END:
            return NOTHING_TOLD
        if now.doubt:
            return Told(brief=ANOTHER_TUNE)
        asked = self._asked_in(now.run)
        if self.settings.feedback is Feedback.AT_ONCE:
            return told_at_once(asked, now.noticed, now_s)
        starts_s = phrases_begun(tune, schedule, now_s)
        if now.run.asked_from_s >= starts_s[-1] or len(starts_s) < 2:
            return told_of_last_run(before, tune)
        return told_after_phrase(asked, now.findings, schedule, starts_s)


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


def all_told(heard: HeardRun | None, tune: Tune, timing: Timing) -> Told:
    """A run that is over. Where the tune has another timing since, nothing can be marked in its lanes."""
    if heard is None or heard.run.tune is not tune:
        return NOTHING_TOLD
    if heard.doubt:
        return Told((heard.doubt,))
    if heard.unheard:
        return Told((heard.unheard,), amiss=False)
    said = sentences(heard.findings)
    lines = (*said[: MOST_LINES - 1], heard.not_fine) if heard.not_fine else said
    return Told(lines, heard.findings if heard.run.timing == timing else (), amiss=bool(said) or not lines)


def told_of_last_run(heard: HeardRun | None, tune: Tune) -> Told:
    """The most urgent thing of the run before, while the first phrase of this one runs."""
    if heard is None or heard.run.tune is not tune:
        return NOTHING_TOLD
    return Told(brief=ANOTHER_TUNE if heard.doubt else most_urgent_brief(heard.asked, heard.findings))


def at_tune_time(played: Played, at_s: float) -> Played:
    """A copy of the event with `at_s` as its time."""
    return replace(played, at_s=at_s)
