"""A take being played back: which, beside which tune, how slowly, and where it stands. Pure: no pygame, no clock."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from enum import Enum
from itertools import pairwise

from companion.listen.findings import Finding
from companion.listen.strictness import Strictness
from companion.midi.takes import Take
from companion.schedule.build import build_schedule
from companion.schedule.events import Schedule
from companion.schedule.lanes import Lane
from companion.schedule.recorded import PlayedState, recorded_schedule
from companion.schedule.spans import Span
from companion.schedule.timing import SLOWEST, Timing
from companion.score.model import Tune
from companion.window.actions import Action, Intent, Seek
from companion.window.asked_tune import Asked, asked_of, turns_of
from companion.window.display import following
from companion.window.play_state import next_slow_down
from companion.window.review import Review
from companion.window.trail import REST, Moment, lanes_of, moments_of


class Sounding(Enum):
    """What is heard: the TAKE as it was played, or what was ASKED for in its place."""

    TAKE = "the take"
    ASKED = "as asked"


LOOK_BACK_S = 0.5
"""Looked at, a finding lies so far left of the chanter: beside the fingers, not under them."""

BEFORE_S = 1.0
AFTER_S = 1.2
"""What is heard around a finding: so much before it and after its end, in seconds of what sounds."""


@dataclass(frozen=True, slots=True)
class TakeState:
    """Times are those of what sounds, at full speed; `slow_down` is the playing back.

    They count from the tune's first beat: the take's own as it was played, or the tune's while it sounds as asked.
    asked: None where the tune was not found, or none was asked. moments and lanes: what was played. review: None until
    the take has been judged. chosen: which of its findings is looked at. loop: the stretch that is heard over and over.
    """

    take: Take
    asked: Asked | None
    moments: tuple[Moment, ...]
    lanes: tuple[Lane, ...]
    position_s: float
    slow_down: float = 1.0
    playing: bool = False
    strictness: Strictness = Strictness.USUAL
    review: Review | None = None
    chosen: int | None = None
    sounding: Sounding = Sounding.TAKE
    loop: Span | None = None

    @property
    def finding(self) -> Finding | None:
        """The finding that is looked at."""
        return self.review.findings[self.chosen] if self.review and self.chosen is not None else None

    @property
    def beside(self) -> Asked | None:
        """What was asked as it lies beside the take: once that was judged, where its notes were heard."""
        return self.review.heard if self.review and self.review.heard else self.asked

    @property
    def begin_s(self) -> float:
        """When the take began."""
        return -self.take.heading.tune_starts_s

    @property
    def now(self) -> Moment:
        """What is played where the take stands."""
        return self.moment_at(self.position_s)

    def moment_at(self, at_s: float) -> Moment:
        """What is played at a moment."""
        index = bisect_right(self.moments, at_s, key=lambda each: each.at_s)
        return self.moments[index - 1] if index else replace(self.moments[0] if self.moments else REST, note=None)


def open_take(take: Take, tunes: Iterable[Tune]) -> TakeState:
    """The take from its beginning, beside its tune if that is among `tunes`."""
    every = [*moments_of(take.events), Moment(float("inf"))]
    # Of several at one and the same time only the last one holds: a step must get past them.
    moments = tuple(moment for moment, after in pairwise(every) if after.at_s > moment.at_s)
    state = TakeState(take, asked_of(take, tunes), moments, lanes_of(moments, take.end_s), 0.0)
    return replace(state, position_s=state.begin_s)


def heard_schedule(state: TakeState) -> Schedule:
    """The take as a player sounds it: its beginning is at 0 s, and it is as slow as it is played back."""
    played = (PlayedState(each.at_s, each.state, each.note) for each in state.moments)
    beats = state.asked.schedule.beats if state.asked else ()
    return recorded_schedule(played, beats, state.begin_s, state.take.end_s, state.slow_down)


def heard_s(state: TakeState, take_s: float) -> float:
    """Where a moment of the take is in its `heard_schedule`."""
    return (take_s - state.begin_s) * state.slow_down


def taken_s(state: TakeState, heard: float) -> float:
    """The moment of the take that is at `heard` seconds of its `heard_schedule`."""
    return heard / state.slow_down + state.begin_s


def asked_slow_down(state: TakeState) -> float:
    """How much slower than the take what was asked is sounded: as the take is, but nothing beyond SLOWEST in all."""
    then = (state.take.heading.timing or Timing()).slow_down
    return min(state.slow_down, SLOWEST / then)


def asked_schedule(state: TakeState) -> Schedule | None:
    """What was asked, as a player sounds it while the take is slowed down; its first beat is at 0 s."""
    if state.asked is None:
        return None
    timing = state.take.heading.timing or Timing()
    slowed = replace(timing, slow_down=timing.slow_down * asked_slow_down(state))
    return build_schedule(state.asked.tune, slowed, turns_of(state.take))


def update_take(state: TakeState, intent: Intent, position_s: float) -> TakeState:
    """The state after an intent that came while the take stood at `position_s`."""
    now = replace(state, position_s=position_s)
    match intent:
        case Seek(time_s) if now.sounding is Sounding.TAKE:
            return _freely(replace(now, position_s=min(max(time_s, now.begin_s), now.take.end_s)))
        case _:
            change = _CHANGES.get(intent) if isinstance(intent, Action) else None
            return change(now) if change else now


def _step(state: TakeState, movements: int) -> TakeState:
    if state.sounding is Sounding.ASKED:
        return _back_to_take(state)
    index = bisect_right(state.moments, state.position_s, key=lambda each: each.at_s) - 1 + movements
    at_s = state.moments[min(index, len(state.moments) - 1)].at_s if index >= 0 and state.moments else state.begin_s
    return _freely(replace(state, playing=False, position_s=max(at_s, state.begin_s)))


def _freely(state: TakeState) -> TakeState:
    """The take itself, and not one stretch of it over and over."""
    return replace(state, sounding=Sounding.TAKE, loop=None)


def _back_to_take(state: TakeState) -> TakeState:
    """From what was asked to the take: to the finding that is looked at, else to its beginning."""
    if state.chosen is not None:
        return choose_finding(state, state.chosen)
    return _freely(replace(state, playing=False, position_s=state.begin_s))


def choose_finding(state: TakeState, rank: int) -> TakeState:
    """Look at a finding: the take stands just after it, so that it lies beside the chanter and not under the fingers.

    Ranks beyond the first and the last are those.
    """
    findings = state.review.findings if state.review else ()
    if not findings:
        return state
    rank = min(max(rank, 0), len(findings) - 1)
    finding = findings[rank]
    after_s = finding.at_s + (finding.ms or 0.0) / 1000.0 + LOOK_BACK_S
    return _freely(replace(state, playing=False, chosen=rank, position_s=min(after_s, state.take.end_s)))


def _next_finding(state: TakeState, steps: int) -> TakeState:
    """The next one, or the one before; from no finding, the first that comes, or the last that was."""
    if state.chosen is not None:
        return choose_finding(state, state.chosen + steps)
    findings = state.review.findings if state.review else ()
    stands_s = state.position_s if state.sounding is Sounding.TAKE else state.begin_s
    passed = bisect_right(findings, stands_s, key=lambda each: each.at_s)
    return choose_finding(state, passed if steps > 0 else passed - 1)


def hear(state: TakeState, sounding: Sounding) -> TakeState:
    """Hear what lies around the finding over and over: as it was played, or the same notes as they were asked."""
    finding = state.finding
    if finding is None:
        return state
    if sounding is Sounding.TAKE:
        first_s, last_s = state.begin_s, state.take.end_s
        at_s, end_s = finding.at_s, finding.at_s + (finding.ms or 0.0) / 1000.0
    elif state.asked is not None:
        first_s, last_s = 0.0, state.asked.schedule.duration_s
        at_s = end_s = state.asked.schedule.note_onsets_s[finding.played]
    else:
        return state
    return hear_stretch(state, sounding, Span(max(first_s, at_s - BEFORE_S), min(last_s, end_s + AFTER_S)))


def hear_stretch(state: TakeState, sounding: Sounding, stretch: Span) -> TakeState:
    """Hear a stretch of the take, or of the tune as it was asked, over and over."""
    return replace(state, sounding=sounding, loop=stretch, position_s=stretch.start_s, playing=True)


def judged(state: TakeState, review: Review) -> TakeState:
    """The state once the take has been judged."""
    return replace(state, review=review, chosen=None)


def _slow_down(state: TakeState, steps: int) -> TakeState:
    return replace(state, slow_down=next_slow_down(state.slow_down, steps))


_CHANGES: dict[Action, Callable[[TakeState], TakeState]] = {
    Action.PLAY: lambda state: replace(state, playing=not state.playing),
    Action.BACK: lambda state: _step(state, -1),
    Action.ON: lambda state: _step(state, 1),
    Action.START: lambda state: _freely(replace(state, position_s=state.begin_s)),
    Action.SLOWER: lambda state: _slow_down(state, 1),
    Action.FASTER: lambda state: _slow_down(state, -1),
    Action.FINDING_ON: lambda state: _next_finding(state, 1),
    Action.FINDING_BACK: lambda state: _next_finding(state, -1),
    Action.HEAR_MINE: lambda state: hear(state, Sounding.TAKE),
    Action.HEAR_RIGHT: lambda state: hear(state, Sounding.ASKED),
    Action.STRICTNESS: lambda state: replace(
        state, strictness=following(tuple(Strictness), state.strictness), review=None, chosen=None
    ),
}
