"""What was heard of an embellishment time after time: how many of the last were even, and which finger was late."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.words import count_words, finger_words, listed, times_words
from companion.schedule.build import build_schedule
from companion.schedule.events import Schedule
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.window.core.wording import capital
from companion.window.live.second_hearing import HeardRun, SecondHearing
from fingering.embellishments import Embellishment
from fingering.holes import Finger

LAST = 10
"""How many rounds are told of: enough to see a habit, few enough to see it change."""

MOST_FINGERS = 2
"""More fingers than this that were late together are not named one by one."""

_FAULTS = {
    FindingKind.MISSING_GRACENOTE: "a gracenote was left out",
    FindingKind.WRONG_GRACENOTE: "another gracenote was heard",
    FindingKind.EXTRA_GRACENOTE: "a gracenote was too many",
    FindingKind.LONG_GRACENOTE: "a gracenote was too long",
    FindingKind.UNEVEN: "a gracenote was too short",
    FindingKind.CROSSING: "the fingers did not move together",
    FindingKind.WRONG_NOTE: "another note was heard",
}


@dataclass(frozen=True, slots=True)
class Attempt:
    """One time that a learner played the embellishment: the fingers that were late in it, and what else was amiss."""

    late: frozenset[Finger] = frozenset()
    faults: frozenset[str] = frozenset()

    @property
    def even(self) -> bool:
        """Whether nothing was amiss in it."""
        return not self.late and not self.faults


def attempts_in(heard: HeardRun, schedule: Schedule) -> Iterator[Attempt]:
    """Yield each time that the embellishment was played in one run of its exercise, in order.

    What is doubted to be it is none, nor is a note that was not played. schedule: of the exercise in the run's timing.
    """
    if heard.doubt:
        return
    onsets_s = (*schedule.note_onsets_s, schedule.duration_s)
    for played, embellishment in enumerate(schedule.embellishments):
        if embellishment is None:
            continue
        found = [finding for finding in heard.findings if finding.played == played]
        missed = any(finding.kind is FindingKind.MISSING_NOTE for finding in found)
        begins_s = onsets_s[played - 1] + (onsets_s[played] - onsets_s[played - 1]) / 2.0
        if not missed and any(begins_s <= at_s < onsets_s[played + 1] for at_s in heard.sounded_s):
            yield _attempt(found)


def _attempt(found: Sequence[Finding]) -> Attempt:
    late: set[Finger] = set()
    faults: set[str] = set()
    for finding in found:
        fingers = late_fingers(finding)
        if fingers and len(fingers) <= MOST_FINGERS:
            late.update(fingers)
        elif finding.kind in _FAULTS:
            faults.add(_FAULTS[finding.kind])
    return Attempt(frozenset(late), frozenset(faults))


def late_fingers(finding: Finding) -> tuple[Finger, ...]:
    """The fingers that came late in what was found; none where that is not what was amiss."""
    match finding.kind:
        case FindingKind.CROSSING if finding.crossing and finding.crossing.finger_ms > 0.0:
            return (finding.crossing.finger,)
        case FindingKind.LONG_GRACENOTE:
            return finding.fingers
        case FindingKind.UNEVEN:
            return finding.late
    return ()


def tally(attempts: Sequence[Attempt], embellishment: Embellishment) -> tuple[str, ...]:
    """What is said of the last LAST: how many were even, and what was amiss most often; nothing before the first."""
    last = attempts[-LAST:]
    if not last:
        return ()
    good = "even" if len(embellishment.gracenotes) > 1 else "clean"
    even = sum(attempt.even for attempt in last)
    return (f"{capital(_how_many(even, len(last)))} {good}.", *_amiss(last))


def _how_many(even: int, of: int) -> str:
    """ "seven of the last ten were", "both were", "the first was not"."""
    if of == 1:
        return "the first was" if even else "the first was not"
    if even == of:
        return "both were" if of == 2 else f"all of the last {count_words(of)} were"
    return f"{count_words(even) if even else 'none'} of the last {count_words(of)} {'was' if even == 1 else 'were'}"


def _amiss(last: Sequence[Attempt]) -> tuple[str, ...]:
    """The finger that was late most often, with how often, else what else was amiss most often; nothing for nothing."""
    fingers = Counter(finger for attempt in last for finger in sorted(attempt.late))
    if fingers:
        (_, most), *_ = fingers.most_common(1)
        worst = sorted(finger for finger, count in fingers.items() if count == most)[:MOST_FINGERS]
        names = listed([finger_words(finger) for finger in worst])
        return (f"{capital(names)} {'was' if len(worst) == 1 else 'were'} late{_often(most, len(last))}.",)
    faults = Counter(fault for attempt in last for fault in sorted(attempt.faults))
    if not faults:
        return ()
    fault, count = faults.most_common(1)[0]
    return (f"{capital(fault)}{_often(count, len(last))}.",)


def _often(count: int, of: int) -> str:
    return f" {times_words(count)}" if of > 1 else ""


class Rounds:
    """Gathers the runs of one exercise as they end; each is heard a second time, which may change what is said."""

    def __init__(self, tune: Tune, before: SecondHearing | None) -> None:
        self._tune = tune
        self._latest = before
        self._runs: list[tuple[SecondHearing, Schedule]] = []

    def follow(self, before: SecondHearing | None) -> None:
        """Take in the run that ended last; `before` as `LiveEar.before`, asked once a frame."""
        if before is not None and before is not self._latest and before.heard.run.tune is self._tune:
            self._runs = [*self._runs[1 - LAST :], (before, build_schedule(self._tune, before.heard.run.timing))]
        self._latest = before

    def attempts(self) -> tuple[Attempt, ...]:
        """All attempts in the runs of late, as they were heard last."""
        return tuple(each for run, schedule in self._runs for each in attempts_in(run.heard, schedule))

    def marked(self, timing: Timing) -> tuple[Finding, ...]:
        """What was found in the run that ended last, to be marked in the lanes; nothing in another timing's."""
        heard = self._runs[-1][0].heard if self._runs else None
        return heard.findings if heard and heard.run.timing == timing and not heard.doubt else ()
