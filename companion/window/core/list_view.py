"""Draws a list to choose from, as a picture."""

from __future__ import annotations

from dataclasses import dataclass

from companion.window.core.actions import Pick
from companion.window.core.display import Print
from companion.window.core.hints import Hint, footer_of, hint_marks
from companion.window.core.marks import Anchor, Label, Mark, Measure, Picture, Rect, Role, Rule, Style, Target, Wash
from companion.window.core.page import LEAST_TARGET_PX
from companion.window.core.screen import Canvas
from companion.window.core.wording import fitted, wrapped_whole

LEAST_ROW_PX = {Print.NORMAL: 28.0, Print.BIG: LEAST_TARGET_PX}
SCROLL_AT = 0.45  # of the margin, where it is shown what of a list is in sight
SCROLL_LEAST_PX, SCROLL_WIDTH_PX = 16.0, 4.0
MOST_LINE_ROWS = 5
"""In the smallest of windows, in big print, the longest name that a file can have takes four."""


@dataclass(frozen=True, slots=True)
class ListRow:
    """One row of a list: its name, and what is said about it."""

    words: str
    about: str = ""


@dataclass(frozen=True, slots=True)
class ListContents:
    """The contents of a list screen.

    rank: of the marked row. line: words about the list or what is wrong, "" for none, in the colour of `role`.
    """

    title: str
    rows: tuple[ListRow, ...]
    rank: int
    hints: tuple[Hint, ...]
    line: str = ""
    role: Role = Role.QUIET


def list_picture(listed: ListContents, canvas: Canvas) -> Picture:
    """The picture of a list; a long one is scrolled so that the marked row is in sight."""
    measure = canvas.measure
    page = canvas.page
    footer = footer_of(listed.hints, page, measure).on_pixels
    top = page.body_top
    marks, targets = hint_marks(listed.hints, footer, measure)
    title = fitted(listed.title, Style.LARGE, page.inner, measure)
    marks.append(Label(page.margin, page.title_y, title, Style.LARGE))
    if listed.line:
        for words in _line_rows(listed.line, page.inner, measure):
            marks.append(Label(page.margin, top + page.line * 0.3, words, Style.TEXT, listed.role))
            top += page.line
        top += page.line * 0.2
    area = Rect(page.margin, top, page.inner, footer.y - page.line * 0.5 - top)
    return Picture(canvas.width, canvas.height, (*marks, *_rows(listed, area, canvas, targets)), (), tuple(targets))


def _line_rows(text: str, width: float, measure: Measure) -> list[str]:
    """Whole, unless it is so long that the list itself would have no room."""
    rows = wrapped_whole(text, Style.TEXT, width, measure)
    if len(rows) > MOST_LINE_ROWS:
        rows[MOST_LINE_ROWS - 1 :] = [fitted(f"{rows[MOST_LINE_ROWS - 1]}…", Style.TEXT, width, measure)]
    return rows


def scroll_marks(area: Rect, margin: float, seen: range, count: int) -> tuple[Mark, ...]:
    """What of a list of `count` rows is in sight, in the margin at the right of its area; nothing where all are."""
    if len(seen) >= count:
        return ()
    x = area.right + margin * SCROLL_AT
    length = max(SCROLL_LEAST_PX, area.height * len(seen) / count)
    top = area.y + (area.height - length) * seen.start / (count - len(seen))
    return (
        Rule(x, area.y, x, area.bottom, Role.HAIR, 1.0),
        Rule(x, top, x, top + length, Role.QUIET, SCROLL_WIDTH_PX),
    )


def _rows(listed: ListContents, area: Rect, canvas: Canvas, targets: list[Target]) -> list[Mark]:
    height = max(LEAST_ROW_PX[canvas.display.print], canvas.measure.height(Style.TEXT) * 1.7)
    room = max(1, int(area.height // height))
    first = min(max(0, listed.rank - room // 2), max(0, len(listed.rows) - room))
    seen = range(first, min(first + room, len(listed.rows)))
    marks: list[Mark] = [*scroll_marks(area, canvas.page.margin, seen, len(listed.rows))]
    for rank, row in list(enumerate(listed.rows))[first : first + room]:
        rect = Rect(area.x, area.y + (rank - first) * height, area.width, height)
        targets.append(Target(rect, Pick(rank)))
        marks += _row(row, rect, canvas, chosen=rank == listed.rank)
    return marks


def _row(row: ListRow, rect: Rect, canvas: Canvas, *, chosen: bool) -> list[Mark]:
    gap = canvas.measure.height(Style.TEXT) * 0.7
    middle = rect.y + rect.height / 2
    style = Style.STRONG if chosen else Style.TEXT
    words = fitted(row.words, style, rect.width - 3 * gap, canvas.measure)
    left = rect.x + 2 * gap + canvas.measure.width(words, style)
    room = rect.right - 2 * gap - left
    about = fitted(row.about, Style.TEXT, room, canvas.measure) if row.about and room > 2 * gap else ""
    marked: list[Mark] = [Wash(rect, Role.WASH, 6.0), Label(rect.x + gap * 0.4, middle, "›", Style.STRONG, Role.GUIDE)]
    return [
        *(marked if chosen else ()),
        Label(rect.x + gap * 1.3, middle, words, style),
        *([Label(rect.right - gap, middle, about, Style.TEXT, Role.QUIET, Anchor.RIGHT)] if about else ()),
    ]
