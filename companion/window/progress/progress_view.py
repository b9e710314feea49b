"""Draws what has become of a learner's practice: one sentence for today, then a row of small columns for each thing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from companion.window.core.display import Print
from companion.window.core.hints import Hint, footer_of, hint_marks
from companion.window.core.list_view import LEAST_ROW_PX, scroll_marks
from companion.window.core.marks import Anchor, Label, Mark, Picture, Rect, Role, Rule, Style
from companion.window.core.screen import Canvas
from companion.window.core.wording import fitted, wrapped_within
from companion.window.progress.progress_rows import ProgressRow

ROW_LINES = 1.75
MOST_TODAY_LINES = 3
NAME_SHARE, WORDS_SHARE = 0.32, 0.42
"""The most of the width that the name and the words at the right may take; the columns have what is between."""

COLUMN_PX = {Print.NORMAL: 8.0, Print.BIG: 10.0}
COLUMN_GAP = 1.5  # from one column to the next, in columns
HIGHEST = 0.78  # of the row, for all of it


@dataclass(frozen=True, slots=True)
class ProgressState:
    """Who it is of, the sentence for today, the rows, and the first that is in sight. line: what goes on, or is wrong;
    "" for nothing."""

    title: str
    today: str
    rows: tuple[ProgressRow, ...]
    first: int = 0
    line: str = ""


def progress_picture(state: ProgressState, hints: tuple[Hint, ...], canvas: Canvas) -> Picture:
    """The picture; what has no room is scrolled to."""
    measure, page = canvas.measure, canvas.page
    footer = footer_of(hints, page, measure).on_pixels
    marks, targets = hint_marks(hints, footer, measure)
    title = fitted(state.title, Style.LARGE, page.inner, measure)
    marks.append(Label(page.margin, page.title_y, title, Style.LARGE))
    top = page.body_top
    lines = [*wrapped_within(state.today, Style.STRONG, page.inner, MOST_TODAY_LINES, measure)]
    for words in lines:
        marks.append(Label(page.margin, top + page.line * 0.3, words, Style.STRONG))
        top += page.line
    if state.line:
        line = fitted(state.line, Style.TEXT, page.inner, measure)
        marks.append(Label(page.margin, top + page.line * 0.3, line, Style.TEXT, Role.QUIET))
        top += page.line
    top += page.line * 0.3
    area = Rect(page.margin, top, page.inner, footer.y - page.line * 0.5 - top)
    seen = rows_in_sight(state, area, canvas)
    marks += scroll_marks(area, page.margin, seen, len(state.rows))
    height = row_height(canvas)
    for place, rank in enumerate(seen):
        rect = Rect(area.x, area.y + place * height, area.width, height)
        row = state.rows[rank]
        marks += _heading(row, rect, canvas) if row.is_heading else _row(row, rect, canvas)
    return Picture(canvas.width, canvas.height, tuple(marks), (), tuple(targets))


def row_height(canvas: Canvas) -> float:
    """How high a row is."""
    return float(round(max(LEAST_ROW_PX[canvas.display.print], canvas.page.line * ROW_LINES)))


def rows_in_sight(state: ProgressState, area: Rect, canvas: Canvas) -> range:
    """The rows that have room from the first one on; the last of all is never above the end of the area."""
    room = max(1, int(area.height // row_height(canvas)))
    first = max(0, min(state.first, len(state.rows) - room))
    return range(first, min(first + room, len(state.rows)))


def _heading(row: ProgressRow, rect: Rect, canvas: Canvas) -> Iterator[Mark]:
    y = rect.y + rect.height * 0.6
    yield Label(rect.x, y, fitted(row.name, Style.STRONG, rect.width, canvas.measure), Style.STRONG, Role.GUIDE)
    yield Rule(rect.x, rect.bottom - 2.0, rect.right, rect.bottom - 2.0, Role.HAIR)


def _row(row: ProgressRow, rect: Rect, canvas: Canvas) -> Iterator[Mark]:
    measure, gap = canvas.measure, canvas.page.line
    middle = rect.y + rect.height / 2
    name = fitted(row.name, Style.TEXT, rect.width * NAME_SHARE, measure)
    words = fitted(row.words, Style.TEXT, rect.width * WORDS_SHARE, measure)
    yield Label(rect.x + gap * 0.3, middle, name)
    yield Label(rect.right - gap * 0.3, middle, words, Style.TEXT, Role.QUIET, Anchor.RIGHT)
    left = rect.x + rect.width * NAME_SHARE + gap
    right = rect.right - gap * 1.3 - measure.width(words, Style.TEXT)
    yield from _columns(row.shares, left, right, rect, canvas)


def _columns(shares: tuple[float, ...], left: float, right: float, rect: Rect, canvas: Canvas) -> Iterator[Mark]:
    """Yield a column for each day, the latest at the right and dark; all of it is a hair-line above them."""
    width = COLUMN_PX[canvas.display.print]
    room = int((right - left) // (width * COLUMN_GAP))
    shown = shares[-room:] if room > 0 else ()
    if not shown:
        return
    highest = rect.height * HIGHEST
    foot = rect.bottom - rect.height * (1.0 - HIGHEST) / 2
    across = left + len(shown) * width * COLUMN_GAP
    yield Rule(left, foot, across, foot, Role.HAIR)
    yield Rule(left, foot - highest, across, foot - highest, Role.HAIR)
    for place, share in enumerate(shown):
        x = left + (place + 0.5) * width * COLUMN_GAP
        role = Role.INK if place == len(shown) - 1 else Role.PAST
        yield Rule(x, foot - max(2.0, highest * share), x, foot, role, width)
