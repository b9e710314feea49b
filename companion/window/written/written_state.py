"""A tune that was written down and what is decided in it, place by place. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from companion.notate.doubts import DecidedTune, Doubt, all_decided
from companion.schedule.build import build_schedule
from companion.schedule.lanes import finger_lanes
from companion.schedule.spans import Extent, Span, span_around
from companion.schedule.timing import Timing
from companion.score.model import Meter, Tune
from companion.sound.settings import SoundSettings
from companion.window.play.play_state import PlayState

METRES = (
    Meter(2, 4, "2/4"),
    Meter(3, 4, "3/4"),
    Meter(4, 4, "4/4"),
    Meter(2, 2, "C|"),
    Meter(6, 8, "6/8"),
    Meter(9, 8, "9/8"),
    Meter(12, 8, "12/8"),
)
"""Those that a take can be written down in."""


@dataclass(frozen=True, slots=True)
class WrittenState:
    """A tune as it was written down, its unsure places, and what is decided at each.

    choices: for each doubt None for as it is written, else the rank of its other reading. settled: the ranks of the
    doubts that a teacher has decided. marked: the doubt in hand. play: the tune as it stands, with the stretch around
    the place in hand. ranks: which note of that tune each doubt begins with.
    """

    written: Tune
    doubts: tuple[Doubt, ...]
    choices: tuple[int | None, ...]
    settled: frozenset[int]
    marked: int
    ranks: tuple[int, ...]
    play: PlayState

    @property
    def tune(self) -> Tune:
        """The tune as it is decided so far."""
        return self.play.tune

    @property
    def doubt(self) -> Doubt | None:
        """The doubt in hand, None where nothing is unsure."""
        return self.doubts[self.marked] if self.doubts else None

    @property
    def left(self) -> int:
        """How many doubts are not decided yet."""
        return len(self.doubts) - len(self.settled)

    @property
    def readings(self) -> int:
        """In how many ways the place in hand may be read."""
        return len(self.doubt.others) + 1 if self.doubt else 0

    @property
    def chosen(self) -> int:
        """Which of them stands: 0 for the one that was written, then the others in order."""
        choice = self.choices[self.marked] if self.doubts else None
        return 0 if choice is None else choice + 1

    def notes_of(self, rank: int) -> range:
        """The ranks of the notes of a doubt in the tune as it stands; none for the tune as a whole."""
        doubt, choice = self.doubts[rank], self.choices[rank]
        count = doubt.notes if choice is None else len(doubt.others[choice])
        return range(self.ranks[rank], self.ranks[rank] + count)


def opened(tune: Tune, doubts: Sequence[Doubt], sound: SoundSettings) -> WrittenState:
    """The state of a tune that was just written down, at its first unsure place."""
    none: tuple[int | None, ...] = (None,) * len(doubts)
    standing = all_decided(tune, tuple(zip(doubts, none, strict=True)))
    schedule = build_schedule(standing.tune, Timing())
    play = PlayState((standing.tune,), standing.tune, Timing(), schedule, finger_lanes(schedule), sound)
    state = WrittenState(tune, tuple(doubts), none, frozenset(), 0, standing.ranks, play)
    return _placed(state)


def moved(state: WrittenState, by: int) -> WrittenState:
    """The state with another unsure place in hand."""
    if not state.doubts:
        return state
    return _placed(replace(state, marked=min(max(0, state.marked + by), len(state.doubts) - 1)))


def other_reading(state: WrittenState, by: int) -> WrittenState:
    """The state with the next reading of the place in hand, after the last the first."""
    if state.readings < 2:
        return state
    reading = (state.chosen + by) % state.readings
    choices = list(state.choices)
    choices[state.marked] = reading - 1 if reading else None
    settled = state.settled | {state.marked}
    decided = all_decided(state.written, tuple(zip(state.doubts, choices, strict=True)))
    return _placed(_standing(replace(state, choices=tuple(choices), settled=settled), decided))


def accepted(state: WrittenState) -> WrittenState:
    """The state once what stands at the place in hand is right: the next one that is not decided is in hand."""
    if not state.doubts:
        return state
    settled = state.settled | {state.marked}
    order = [*range(state.marked + 1, len(state.doubts)), *range(state.marked)]
    following = next((rank for rank in order if rank not in settled), state.marked)
    return _placed(replace(state, settled=settled, marked=following))


def _standing(state: WrittenState, decided: DecidedTune) -> WrittenState:
    schedule = build_schedule(decided.tune, state.play.timing)
    play = replace(state.play, tune=decided.tune, schedule=schedule, lanes=finger_lanes(schedule), span=None)
    return replace(state, ranks=decided.ranks, play=play)


def _placed(state: WrittenState) -> WrittenState:
    """The state that stands before the place in hand, with its bar to be heard; with the whole where all is unsure."""
    play = state.play
    here = state.notes_of(state.marked) if state.doubts else range(0)
    start_s = play.schedule.events[0].start_s
    if not here:
        span = Span(start_s, play.schedule.duration_s)
        return replace(state, play=replace(play, position_s=start_s, extent=Extent.TUNE, span=span))
    played = next((i for i, each in enumerate(play.schedule.played) if each.note.rank in here), 0)
    onset_s = play.schedule.note_onsets_s[played]
    found = span_around(play.tune, play.schedule, onset_s, Extent.BAR)
    return replace(state, play=replace(play, position_s=onset_s, extent=Extent.BAR, span=found))


def next_metre(meter: Meter) -> Meter:
    """The metre to be tried after one."""
    known = [each for each in METRES if (each.beats, each.unit) == (meter.beats, meter.unit)]
    return METRES[(METRES.index(known[0]) + 1) % len(METRES)] if known else METRES[0]
