"""Makes the state of a playing screen in which a tune goes on that was written anew. Pure: no clock, no files."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from companion.schedule.build import build_schedule
from companion.schedule.lanes import finger_lanes
from companion.schedule.rewritten.moments import MovedMoments
from companion.schedule.spans import span_around
from companion.score.model import Tune
from companion.score.tune_set import joined
from companion.sound.player import Moved
from companion.window.lanes.unread import unread_bars
from companion.window.play.play_state import PlayState, respan
from companion.window.rereading.reread import TuneNow


def rewritten(
    state: PlayState, position_s: float, now: Sequence[TuneNow], tunes: tuple[Tune, ...]
) -> tuple[PlayState, Moved]:
    """The state of a tune, or a set, that stood at `position_s`, at the same place of what is written now; and the
    function from the moments of the one to those of the other.

    What is set stays as it is: slow-down, a tempo that was chosen, what is repeated as far as it is still there. tunes:
    those that can be chosen from then on.
    """
    row = tuple(_as_now(tune, now) for tune in state.row)
    tune = joined(row) if row else _as_now(state.tune, now)
    schedule = build_schedule(tune, state.timing)
    moments = MovedMoments.between(state.tune, state.schedule, tune, schedule)
    first = row[0] if row else tune
    unread = next((unread_bars(first, each.problems) for each in now if each.tune is first), state.unread)
    fresh = replace(state, tune=tune, row=row, tunes=tunes, schedule=schedule, lanes=finger_lanes(schedule), notice="")
    fresh = replace(fresh, unread=unread, position_s=moments.moment(position_s))
    return _repeating(fresh, state, moments), moments.moment


def _as_now(tune: Tune, now: Sequence[TuneNow]) -> Tune:
    return next((each.tune for each in now if each.before is tune), tune)


def _repeating(fresh: PlayState, before: PlayState, moments: MovedMoments) -> PlayState:
    """The state in which the same is repeated as before; where nothing is left of it, what lies around the place."""
    span = moments.stretch(before.span) if before.span else None
    if span is None:
        return respan(replace(fresh, span=None, marked=False))
    if before.marked:
        return replace(fresh, span=span)
    return replace(fresh, span=span_around(fresh.tune, fresh.schedule, span.start_s, before.extent))
