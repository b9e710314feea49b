"""Draws a count-in where the note in hand stands else: the beat that is counted, large, among the others of its bar."""

from __future__ import annotations

from collections.abc import Iterator

from companion.schedule.count_in import CountIn
from companion.schedule.events import Schedule
from companion.window.core.layout import Layout
from companion.window.core.marks import Anchor, Label, Mark, Measure, Role, Style
from companion.window.core.wording import fitted

_SLOT_LINES = 1.9
"""How much room a number of the row takes, in lines of text: each stands still in its own, the large one too."""


def count_marks(
    count: CountIn, now_s: float, schedule: Schedule, layout: Layout, room_right: float, measure: Measure
) -> Iterator[Mark]:
    """Yield the numbers of a bar's beats, that of the beat at `now_s` large, and below them where the tune starts.

    The row ends before `room_right`; where it has no room, the number that is counted stands alone. Nothing but the
    place of the large number changes, once a beat, and nothing is lit or put out between.
    """
    x, y = layout.header.x, layout.page.title_y
    slot = max(layout.line * _SLOT_LINES, measure.width(str(count.bar_beats), Style.LARGE) * 1.2)
    number = count.beat_at(now_s).number
    if x + slot * count.bar_beats > room_right:
        yield Label(x, y, str(number), Style.LARGE, Role.INK)
    else:
        for each in range(1, count.bar_beats + 1):
            style, role = (Style.LARGE, Role.INK) if each == number else (Style.TEXT, Role.QUIET)
            yield Label(x + (each - 0.5) * slot, y, str(each), style, role, Anchor.CENTRE)
    words = fitted(count_words(count, now_s, schedule), Style.TEXT, layout.header.width, measure)
    yield Label(x, layout.page.below_title(), words, Style.TEXT, Role.QUIET)


def count_words(count: CountIn, now_s: float, schedule: Schedule) -> str:
    """Where the tune starts, and with what, in words: "counting in, the tune starts on 4 of the next bar, with E"."""
    between = count.starts_on is None
    where = f"after {count.beats[-1].number}" if between else f"on {count.starts_on}"
    starts = len(count.beats) - between
    later = starts // count.bar_beats > count.index_at(now_s) // count.bar_beats
    note = schedule.played[schedule.events[schedule.event_index_at(count.place_s)].played].note.note
    name = note.label if note is not None else "a rest"
    return f"counting in, the tune starts {where}{' of the next bar' if later else ''}, with {name}"
