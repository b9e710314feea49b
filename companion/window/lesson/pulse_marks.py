"""Draws the pulse alone, for a tune that is played by heart: the beats of the bar, the one that sounds now filled."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from operator import attrgetter

from companion.schedule.count_in import CountIn
from companion.window.core.layout import Layout
from companion.window.core.marks import Anchor, Dot, Label, Mark, Measure, Role, Style
from companion.window.play.play_state import PlayState

RADIUS_LINES = 1.5
APART_LINES = 4.6
COUNTING = "counting in"


def pulse_marks(
    state: PlayState, now_s: float, count: CountIn | None, layout: Layout, measure: Measure
) -> Iterator[Mark]:
    """Yield a ring for each beat of the bar in the middle of the window, that of now filled; nothing of the tune.

    Only one ring changes with each beat, so nothing flashes over a large area.
    """
    if count:
        beats, now = count.bar_beats, count.beat_at(now_s).number - 1
    else:
        rank = max(0, bisect_right(state.schedule.beats, now_s + 1e-6, key=attrgetter("at_s")) - 1)
        turn = state.schedule.beats[rank].turn if state.schedule.beats else 0
        inside = [place for place, beat in enumerate(state.schedule.beats) if beat.turn == turn]
        beats, now = len(inside), rank - inside[0] if inside else 0
    middle_x, y = layout.width / 2, (layout.lanes.y + layout.lanes.bottom) / 2
    apart = min(layout.line * APART_LINES, layout.header.width / max(1, beats))
    radius = min(layout.line * RADIUS_LINES, apart * 0.4)
    for place in range(beats):
        x = middle_x + (place - (beats - 1) / 2) * apart
        yield Dot(x, y, radius, Role.INK, filled=place == now and state.playing)
    if count:
        yield Label(middle_x, y - radius - layout.line * 1.2, COUNTING, Style.TEXT, Role.QUIET, Anchor.CENTRE)
