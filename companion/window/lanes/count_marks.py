"""Draws a count-in where the note in hand stands else: the beat that is counted, large, among the others of its bar."""

from __future__ import annotations

from collections.abc import Iterator

from companion.schedule.count_in import CountIn
from companion.schedule.events import Schedule
from companion.schedule.practice.rounds import Turn
from companion.window.core.layout import Layout
from companion.window.core.marks import Anchor, Label, Mark, Measure, Role, Style
from companion.window.core.wording import wrapped_within

_NEXT = {None: "again", Turn.TOOL: "listen", Turn.LEARNER: "your turn"}
_SLOT_LINES = 1.9
"""How much room a number of the row takes, in lines of text: each stands still in its own, the large one too."""


def count_marks(
    count: CountIn, now_s: float, schedule: Schedule, layout: Layout, measure: Measure, turn: Turn | None = None
) -> Iterator[Mark]:
    """Yield the numbers of a bar's beats, that of the beat at `now_s` large, and beside them where the tune starts.

    Where a bar's numbers would take more than half of the header, the one that is counted stands alone. Nothing but
    the place of the large number changes, once a beat, and nothing is lit or put out between. turn: whose it is after a
    rest in an echo.
    """
    x, y = layout.header.x, (layout.header.y + layout.ear.y) / 2
    slot = max(layout.line * _SLOT_LINES, measure.width(str(count.bar_beats), Style.HUGE) * 1.2)
    number = count.beat_at(now_s).number
    shown = range(1, count.bar_beats + 1) if slot * count.bar_beats < layout.header.width / 2 else (number,)
    for place, each in enumerate(shown):
        style, role = (Style.HUGE, Role.INK) if each == number else (Style.TEXT, Role.QUIET)
        yield Label(x + (place + 0.5) * slot, y, str(each), style, role, Anchor.CENTRE)
    left = x + slot * len(shown) + layout.line
    room = layout.header.right - left
    lines = wrapped_within(count_words(count, now_s, schedule, turn), Style.TEXT, room, 2, measure)
    for rank, words in enumerate(lines):
        yield Label(left, y + layout.line * (rank + 0.2), words, Style.TEXT, Role.QUIET)


def count_words(count: CountIn, now_s: float, schedule: Schedule, turn: Turn | None = None) -> str:
    """Where the tune starts, and with what, in words: "counting in, the tune starts on 4 of the next bar, with E", and
    between two rounds "rest, then you play, on 1, with E".
    """
    between = count.starts_on is None
    where = f"after {count.beats[-1].number}" if between else f"on {count.starts_on}"
    starts = len(count.beats) - between
    later = starts // count.bar_beats > count.index_at(now_s) // count.bar_beats
    note = schedule.played[schedule.events[schedule.event_index_at(count.place_s)].played].note.note
    name = note.label if note is not None else "a rest"
    if count.within:
        return f"rest, then {_NEXT[turn]}, {where}, with {name}"
    return f"counting in, the tune starts {where}{' of the next bar' if later else ''}, with {name}"
