"""A take being played back: which, beside which tune, how slowly, and where it stands. Pure: no pygame, no clock."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum
from itertools import pairwise

from companion.hearing.takes.sound_take import SoundTake
from companion.listen.model.findings import Finding
from companion.listen.model.strictness import Strictness
from companion.listen.verdict.verdict import Matter
from companion.midi.takes.reading import Take
from companion.schedule.events import Schedule
from companion.schedule.lanes import Lane
from companion.schedule.recorded import PlayedState, recorded_schedule
from companion.schedule.spans import Span
from companion.score.model import Tune
from companion.score.setting import Setting
from companion.window.lanes.trail import REST, Moment, lanes_of, moments_of
from companion.window.play.play_moves import next_slow_down
from companion.window.takes.asked_tune import AskedTune, asked_of, of_another_tune, slowed
from companion.window.takes.review import Review


class SoundedSide(Enum):
    """What is heard: the TAKE as it was played, or what was ASKED for in its place."""

    TAKE = "the take"
    ASKED = "as asked"


class Round(Enum):
    """What is heard over and over: ONE side of a stretch, both IN_TURN, first as it was played, or a DRILL."""

    ONE = "one"
    IN_TURN = "in turn"
    DRILL = "drill"


class Lighting(Enum):
    """What is marked of what was found: the MATTER that is looked at, all else quiet, or ALL alike."""

    MATTER = "the marked thing to mend"
    ALL = "all"


LOOP_SLOW_DOWN = 4.0
"""How much slower than at full speed a stretch is heard over and over at first: a gracenote can then be told apart."""


@dataclass(frozen=True, slots=True)
class TakeState:
    """Times are those of what sounds, at full speed; `slow_down` is the playing back: of a loop, or else of the take.

    They count from the tune's first beat: the take's own as it was played, or the tune's while it sounds as asked.
    asked: None where the tune was not found, or none was asked. moments and lanes: what was played. review: None until
    the take has been judged. chosen: which of its findings is looked at. loop: the stretch that is heard over and over.
    round: what that loop is. marked: the rank of the thing to mend that is looked at, among those of the review.
    setting: the learner's own setting of the tune, in which the take is judged. notice: one line to the user, "" for
    none. by_sound: the take as it was heard in its sound, None where it has none or that was not heard yet.
    hearing_share: how much of its sound was heard by now, 0 to 1; None where none is being heard.
    """

    take: Take
    asked: AskedTune | None
    moments: tuple[Moment, ...]
    lanes: tuple[Lane, ...]
    position_s: float
    take_slow_down: float = 1.0
    loop_slow_down: float = LOOP_SLOW_DOWN
    playing: bool = False
    strictness: Strictness = Strictness.USUAL
    review: Review | None = None
    chosen: int | None = None
    sounding: SoundedSide = SoundedSide.TAKE
    loop: Span | None = None
    round: Round = Round.ONE
    marked: int = 0
    lighting: Lighting = Lighting.MATTER
    setting: Setting = ()
    notice: str = ""
    by_sound: SoundTake | None = None
    hearing_share: float | None = None

    @property
    def slow_down(self) -> float:
        """How much slower than at full speed it is played back now."""
        return self.loop_slow_down if self.loop else self.take_slow_down

    @property
    def finding(self) -> Finding | None:
        """The finding that is looked at."""
        return self.review.findings[self.chosen] if self.review and self.chosen is not None else None

    @property
    def matter(self) -> Matter | None:
        """The thing to mend that is marked; None where all that was found is shown alike, or there is none."""
        matters = self.review.matters if self.review and self.lighting is Lighting.MATTER else ()
        return matters[self.marked] if matters else None

    @property
    def lit(self) -> tuple[int, ...]:
        """The ranks of the findings that are marked, and through which one goes."""
        if self.review is None:
            return ()
        if self.matter is None or self.marked >= len(self.review.headlines):
            return tuple(range(len(self.review.findings)))
        return self.review.headlines[self.marked].places

    @property
    def beside(self) -> AskedTune | None:
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


def with_sound(state: TakeState, by_sound: SoundTake) -> TakeState:
    """The take as it was heard in its sound."""
    take = by_sound.take
    moments = _moments_in(take)
    lanes = lanes_of(moments, take.end_s)
    return replace(state, take=take, moments=moments, lanes=lanes, by_sound=by_sound, hearing_share=None, review=None)


def _moments_in(take: Take) -> tuple[Moment, ...]:
    every = [*moments_of(take.events), Moment(float("inf"))]
    # Of several at one and the same time only the last one holds: a step must get past them.
    return tuple(moment for moment, after in pairwise(every) if after.at_s > moment.at_s)


def open_take(take: Take, tunes: Iterable[Tune]) -> TakeState:
    """The take from its beginning, beside its tune if that is among `tunes`."""
    moments = _moments_in(take)
    state = TakeState(take, asked_of(take, tunes), moments, lanes_of(moments, take.end_s), 0.0)
    then = take.heading.timing.slow_down if take.heading.timing else 1.0
    # What was played slowly needs less of it.
    return replace(state, position_s=state.begin_s, loop_slow_down=next_slow_down(max(1.0, LOOP_SLOW_DOWN / then), 0))


def laid_beside(state: TakeState, tune: Tune) -> TakeState:
    """The take as one of another tune than it was taken for; it was not judged beside that yet."""
    take = of_another_tune(state.take, tune)
    by_sound = replace(state.by_sound, take=take) if state.by_sound else None
    other = replace(state, take=take, by_sound=by_sound, asked=asked_of(take, (tune,)), review=None, chosen=None)
    return replace(other, setting=(), notice="", marked=0, lighting=Lighting.MATTER)


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


def asked_schedule(state: TakeState) -> Schedule | None:
    """What was asked, as a player sounds it while the take is slowed down; its first beat is at 0 s."""
    return slowed(state.asked.schedule, state.slow_down) if state.asked else None
