"""The state of the crossing screen, and how an intent changes it. Pure: no pygame, no clock."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from enum import Enum

from companion.schedule.crossing import NamedTransition, Noise, crossing_schedule, noises, taught_ms
from companion.schedule.events import Schedule
from companion.schedule.lanes import Lane, finger_lanes
from companion.schedule.spans import Span, moved_time, step
from companion.sound.settings import SoundSettings
from companion.window.core.actions import Action, Intent, Seek
from companion.window.play.play_moves import next_slow_down
from fingering.crossings.analysis import Crossing, analyse
from fingering.crossings.timing import foreign_notes
from fingering.holes import Finger
from fingering.notes import Note

LATE_STEP_MS = 5.0
MOST_LATE_MS = 200.0
OPENING_SLOW_DOWN = 16.0


@dataclass(frozen=True, slots=True)
class Delay:
    """A finger that is held back, None for none, and by how many ms (0 to MOST_LATE_MS) after all the others."""

    finger: Finger | None
    ms: float = 40.0


class Version(Enum):
    """Which version of a crossing is played: as TAUGHT, or with one finger LATE."""

    TAUGHT = "clean, as taught"
    LATE = "one finger late"


@dataclass(frozen=True, slots=True)
class CrossingState:
    """The crossing screen. `schedule`, `lanes` and `noises` are the crossing as it is played, `crossing` its analysis.

    `position_s` is the present moment while it is paused, else where it was last put.
    """

    named: NamedTransition
    crossing: Crossing
    delay: Delay
    version: Version
    slow_down: float
    schedule: Schedule
    lanes: tuple[Lane, ...]
    noises: tuple[Noise, ...]
    sound: SoundSettings = field(default_factory=SoundSettings)
    playing: bool = False
    position_s: float = 0.0

    @property
    def late(self) -> tuple[Finger, float] | None:
        """The finger that is late in the version played, with its ms; None as taught."""
        if self.version is Version.TAUGHT or self.delay.finger is None or self.delay.ms <= 0.0:
            return None
        return self.delay.finger, self.delay.ms

    @property
    def moment_s(self) -> float:
        """The moment (s) that all fingers aim at."""
        return self.schedule.note_onsets_s[1]

    @property
    def span(self) -> Span:
        """The stretch that is played over and over: all of the schedule."""
        return Span(0.0, self.schedule.duration_s)


def open_crossing(
    named: NamedTransition, sound: SoundSettings, delay: Delay | None = None, slow_down: float = OPENING_SLOW_DOWN
) -> CrossingState:
    """The state at first; without `delay`, a finger is held back whose lateness is heard. Raises UserError."""
    crossing = analyse(named.transition, sound.tuning)
    held_back = delay or Delay(audible_finger(crossing))
    return _timed(named, crossing, held_back, Version.LATE, slow_down, sound)


def audible_finger(crossing: Crossing) -> Finger:
    """The first finger in the order to teach whose lateness sounds a foreign note, or the first of all."""
    order = crossing.lesson.order
    return next((finger for finger in order if foreign_notes(crossing.transition, {finger: 1.0})), order[0])


def noise_middle_s(state: CrossingState) -> float:
    """The middle (s) of what is heard between the two notes, or of the movement: the moment to look at."""
    if state.noises:
        return (state.noises[0].start_s + state.noises[0].end_s) / 2.0
    return (state.schedule.states[1].at_s + state.schedule.states[-1].at_s) / 2.0


def _timed(
    named: NamedTransition, crossing: Crossing, delay: Delay, version: Version, slow_down: float, sound: SoundSettings
) -> CrossingState:
    off_ms = taught_ms(crossing.lesson)
    if version is Version.LATE:
        off_ms = {} if delay.finger is None else {delay.finger: delay.ms}
    schedule = crossing_schedule(named, off_ms, slow_down)
    heard = noises(named, off_ms, slow_down, sound.tuning)
    return CrossingState(named, crossing, delay, version, slow_down, schedule, finger_lanes(schedule), heard, sound)


def _retimed(
    state: CrossingState,
    *,
    delay: Delay | None = None,
    version: Version | None = None,
    slow_down: float | None = None,
) -> CrossingState:
    """The state at the corresponding moment with another delay, version or slow-down; None keeps what is set."""
    fresh = _timed(
        state.named,
        state.crossing,
        delay or state.delay,
        version or state.version,
        slow_down or state.slow_down,
        state.sound,
    )
    position_s = moved_time(state.schedule, fresh.schedule, state.position_s)
    return replace(fresh, playing=state.playing, position_s=position_s)


def with_crossing(state: CrossingState, named: NamedTransition) -> CrossingState:
    """The screen's state with another crossing, at its start. A finger that does not move there is replaced."""
    fresh = open_crossing(named, state.sound, slow_down=state.slow_down)
    delay = replace(fresh.delay, ms=state.delay.ms)
    timed = _timed(named, fresh.crossing, delay, state.version, state.slow_down, state.sound)
    return replace(timed, playing=state.playing, position_s=0.0 if state.playing else noise_middle_s(timed))


def update(state: CrossingState, intent: Intent, position_s: float) -> CrossingState:
    """The state after an intent that came while the crossing stood at `position_s`."""
    now = replace(state, position_s=position_s)
    match intent:
        case Seek(time_s):
            return replace(now, position_s=min(max(time_s, 0.0), now.schedule.states[-1].at_s))
        case Action():
            change = _CHANGES.get(intent)
            return change(now) if change else now
        case _:
            return now


def _step(state: CrossingState, movements: int) -> CrossingState:
    return replace(state, playing=False, position_s=step(state.schedule, state.position_s, movements))


def _hold_back(state: CrossingState, steps: int) -> CrossingState:
    """The state with the next moving finger held back, none after the last; it is then played late."""
    choices = (*state.crossing.transition.movers, None)
    finger = choices[(choices.index(state.delay.finger) + steps) % len(choices)]
    return _retimed(state, delay=replace(state.delay, finger=finger), version=Version.LATE)


def _later(state: CrossingState, change_ms: float) -> CrossingState:
    ms = min(max(state.delay.ms + change_ms, 0.0), MOST_LATE_MS)
    return _retimed(state, delay=replace(state.delay, ms=ms), version=Version.LATE)


def _flip(state: CrossingState) -> CrossingState:
    return _retimed(state, version=Version.LATE if state.version is Version.TAUGHT else Version.TAUGHT)


def _slow_down(state: CrossingState, steps: int) -> CrossingState:
    return _retimed(state, slow_down=next_slow_down(state.slow_down, steps))


def next_note(note: Note, other: Note) -> Note:
    """The note above `note` (low G after high A), skipping `other`."""
    following = Note((note + 1) % len(Note))
    return Note((following + 1) % len(Note)) if following is other else following


def _first_note(state: CrossingState) -> CrossingState:
    start, end = state.named.start, state.named.end
    return with_crossing(state, NamedTransition.between(next_note(start, end), end))


def _second_note(state: CrossingState) -> CrossingState:
    start, end = state.named.start, state.named.end
    return with_crossing(state, NamedTransition.between(start, next_note(end, start)))


_CHANGES: dict[Action, Callable[[CrossingState], CrossingState]] = {
    Action.PLAY: lambda state: replace(state, playing=not state.playing),
    Action.BACK: lambda state: _step(state, -1),
    Action.ON: lambda state: _step(state, 1),
    Action.START: lambda state: replace(state, position_s=0.0),
    Action.FINGER_BACK: lambda state: _hold_back(state, -1),
    Action.FINGER_ON: lambda state: _hold_back(state, 1),
    Action.LESS_LATE: lambda state: _later(state, -LATE_STEP_MS),
    Action.MORE_LATE: lambda state: _later(state, LATE_STEP_MS),
    Action.FLIP: _flip,
    Action.SLOWER: lambda state: _slow_down(state, 1),
    Action.FASTER: lambda state: _slow_down(state, -1),
    Action.FIRST_NOTE: _first_note,
    Action.SECOND_NOTE: _second_note,
    Action.REVERSE: lambda state: with_crossing(state, state.named.reversed()),
}
