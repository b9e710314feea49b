"""The state of the playing screen, and how it opens on a tune, a set or another timing. Pure: no pygame, no clock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from companion.midi.maps.touch import Touch
from companion.schedule.build import build_schedule
from companion.schedule.events import Schedule
from companion.schedule.lanes import Lane, finger_lanes
from companion.schedule.pace import tempo_of
from companion.schedule.practice.rounds import Echo, Repeat, stretches
from companion.schedule.spans import Extent, Span, moved_time, span_around
from companion.schedule.stretch import Stretch, stretch_of
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.score.problems import Problem
from companion.score.tune_set import joined
from companion.sound.settings import LiveSettings, SoundSettings
from companion.window.lanes.told import EarSettings
from companion.window.lanes.unread import Unread, unread_bars
from companion.window.play.tools.round_settings import RoundSettings
from companion.window.play.tools.solo import Solo, sounding


@dataclass(frozen=True, slots=True)
class PlayState:
    """The state of the playing screen. `position_s` is the present moment while paused, else where it was last put.

    `tunes` holds the tunes to choose from, `tune` the one that plays, `schedule` and `lanes` are that tune in `timing`.
    `span` is the stretch that is repeated, None for none, `marked` by hand or found by `extent`; `rounds` says how it
    goes round; where it is played `once`, the tune stands at its start again afterwards. `solo` says which voice of
    `sound` is heard alone. `notice` is one line to the user, "" for none. `ear` says how what is played in is judged,
    `live` how it sounds, `touch` how the computer's keys play, None while they do not. `row` holds the tunes of a set,
    of which `tune` is all in one; none where it is no set. `unread` holds the bars of the tune in which something could
    not be read.
    """

    tunes: tuple[Tune, ...]
    tune: Tune
    timing: Timing
    schedule: Schedule
    lanes: tuple[Lane, ...]
    sound: SoundSettings = field(default_factory=SoundSettings)
    playing: bool = False
    position_s: float = 0.0
    extent: Extent = Extent.TUNE
    span: Span | None = None
    marked: bool = False
    once: bool = False
    notice: str = ""
    ear: EarSettings = field(default_factory=EarSettings)
    live: LiveSettings = field(default_factory=LiveSettings)
    touch: Touch | None = None
    rounds: RoundSettings = field(default_factory=RoundSettings)
    solo: Solo = Solo.NONE
    row: tuple[Tune, ...] = ()
    unread: tuple[Unread, ...] = ()

    @property
    def beats_per_minute(self) -> float:
        """The tempo in force, in beats a minute."""
        return self.timing.beats_per_minute or tempo_of(self.tune).beats_per_minute

    @property
    def ends(self) -> Span | None:
        """From where to where it is played, None where it goes round."""
        if self.span and not self.once:
            return None
        return self.span or Span(self.schedule.events[0].start_s, self.schedule.duration_s)

    @property
    def sounding(self) -> SoundSettings:
        """The sound that is heard."""
        return sounding(self.sound, self.solo)

    @property
    def stretch(self) -> Stretch | None:
        """The notes that are repeated, None for all and where none are."""
        return stretch_of(self.schedule, self.span) if self.span else None

    @property
    def repeat(self) -> Repeat | None:
        """What goes round and round: the stretch, or in an echo that goes on all of its extent; None for nothing."""
        if self.span is None or self.once:
            return None
        rest, echo = self.rounds.rest, self.rounds.echo
        several = echo is Echo.ON and not self.marked
        spans = tuple(stretches(self.tune, self.schedule, self.extent)) if several else ()
        return Repeat(spans if self.span in spans else (self.span,), rest, echo is not Echo.OFF)


def open_tune(state: PlayState, tune: Tune, problems: Sequence[Problem] = ()) -> PlayState:
    """The state with another tune, at its start and at its own tempo. problems: those that were met in reading it."""
    timing = replace(state.timing, beats_per_minute=None)
    schedule = build_schedule(tune, timing)
    fresh = replace(state, tune=tune, row=(), timing=timing, schedule=schedule, lanes=finger_lanes(schedule))
    fresh = replace(fresh, unread=unread_bars(tune, problems))
    return respan(replace(fresh, position_s=schedule.events[0].start_s))


def next_in_set(state: PlayState, tune: Tune) -> PlayState:
    """The state in which that tune follows the one that plays, or the set; its place stays."""
    return _as_set(state, (*(state.row or (state.tune,)), tune))


def last_out_of_set(state: PlayState) -> PlayState:
    """The state without the last tune of the set; its place stays, unless that tune is played already."""
    return _as_set(state, state.row[:-1]) if state.row else state


def _as_set(state: PlayState, row: tuple[Tune, ...]) -> PlayState:
    tune = joined(row) if len(row) > 1 else row[0]
    schedule = build_schedule(tune, state.timing)
    fresh = replace(state, tune=tune, row=row if len(row) > 1 else (), schedule=schedule, lanes=finger_lanes(schedule))
    position_s = state.position_s if state.position_s < schedule.duration_s else schedule.events[0].start_s
    return respan(replace(fresh, position_s=position_s))


def first_state(tunes: Sequence[Tune], tune: Tune, timing: Timing) -> PlayState:
    """The state when the window opens on `tune`."""
    schedule = build_schedule(tune, timing)
    state = PlayState(tuple(tunes), tune, timing, schedule, finger_lanes(schedule))
    return respan(replace(state, position_s=schedule.events[0].start_s))


def respan(state: PlayState) -> PlayState:
    """The state in which the stretch around the position is repeated, the marked one or to the extent that is set."""
    if state.marked and state.span and state.span.holds(state.position_s):
        return state
    span = span_around(state.tune, state.schedule, state.position_s, state.extent)
    return replace(state, span=span, marked=False)


def retime(state: PlayState, timing: Timing) -> PlayState:
    """The state in another timing, at the corresponding moment of the tune."""
    schedule = build_schedule(state.tune, timing)
    position_s = moved_time(state.schedule, schedule, state.position_s)
    fresh = replace(state, timing=timing, schedule=schedule, lanes=finger_lanes(schedule), position_s=position_s)
    if state.span is None:
        return fresh
    ends = (moved_time(state.schedule, schedule, at_s) for at_s in (state.span.start_s, state.span.end_s))
    return respan(replace(fresh, span=Span(*ends)))
