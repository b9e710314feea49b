"""Draws the list as a picture: title, search, and as many rows as have room around the marked one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from companion.window.choose.choose_state import ChooseState
from companion.window.choose.rows import ChoiceRow
from companion.window.core.actions import Pick
from companion.window.core.display import Print
from companion.window.core.hints import Hint, footer_of, hint_marks
from companion.window.core.list_view import scroll_marks
from companion.window.core.marks import Anchor, Label, Mark, Picture, Rect, Role, Rule, Style, Target, Wash
from companion.window.core.screen import Canvas
from companion.window.core.wording import fitted, wrapped_within

LEAST_ROW_PX = 28.0
LEAST_ROW_BIG_PX = 44.0  # a finger, or a hand that points from afar: WCAG 2.2, target size (enhanced)
ROW_LINES = 1.55
MOST_TOLD_LINES = 2  # in big print what is wrong, and what to do, has no room in one
NAME_SHARE = 0.62  # of a row, for a name that has words beside it


@dataclass(frozen=True, slots=True)
class ChoiceLines:
    """Words below the search: about the place, about what is being read, or what is wrong, in the colour of `role`."""

    words: str
    role: Role = Role.QUIET


def choose_picture(state: ChooseState, told: ChoiceLines, hints: Sequence[Hint], canvas: Canvas) -> Picture:
    """The picture of the list; only rows in sight are laid out."""
    measure, page = canvas.measure, canvas.page
    footer = footer_of(hints, page, measure).on_pixels
    marks, targets = hint_marks(hints, footer, measure)
    title = fitted(state.place.title, Style.LARGE, page.inner, measure)
    marks.append(Label(page.margin, page.title_y, title, Style.LARGE))
    top = page.top + page.title_height
    marks += _search(state, top, canvas)
    lines = wrapped_within(told.words, Style.TEXT, page.inner, MOST_TOLD_LINES, measure)
    for rank, words in enumerate(lines, start=1):
        marks.append(Label(page.margin, page.words_y(top, rank) + page.line * 0.1, words, Style.TEXT, told.role))
    top += page.line * (1.4 + max(1, len(lines)))
    area = Rect(page.margin, top, page.inner, footer.y - page.line * 0.5 - top)
    marks += _rows(state, area, canvas, targets)
    return Picture(canvas.width, canvas.height, tuple(marks), (), tuple(targets))


def _search(state: ChooseState, top: float, canvas: Canvas) -> Iterator[Mark]:
    """Yield what is typed with a stroke where the next letter comes, and how much it finds; else what typing does."""
    measure, page = canvas.measure, canvas.page
    y = page.words_y(top)
    if not state.query:
        words = fitted(f"Type to find {state.place.sought}.", Style.TEXT, page.inner, measure)
        yield Label(page.margin, y, words, Style.TEXT, Role.QUIET)
        return
    count = f"{state.count:,} found" if state.count else "nothing found"
    room = page.inner - measure.width(count, Style.TEXT) - page.line
    typed = _end_fitted(state.query, room, canvas)
    yield Label(page.margin, y, typed, Style.STRONG)
    x = page.margin + measure.width(typed, Style.STRONG) + 2.0
    yield Rule(x, y - page.line * 0.36, x, y + page.line * 0.36, Role.GUIDE, 2.0)
    yield Label(page.margin + page.inner, y, count, Style.TEXT, Role.QUIET, Anchor.RIGHT)


def _end_fitted(text: str, room: float, canvas: Canvas) -> str:
    """The end of `text`, where it is typed, behind an ellipsis where it has no room."""
    if canvas.measure.width(text, Style.STRONG) <= room:
        return text
    ends = (f"…{text[cut:]}" for cut in range(1, len(text)))
    return next((end for end in ends if canvas.measure.width(end, Style.STRONG) <= room), "…")


def row_height(canvas: Canvas) -> float:
    """Height of a row: a line with room around it, and never too small to hit."""
    least = LEAST_ROW_BIG_PX if canvas.display.print is Print.BIG else LEAST_ROW_PX
    return float(max(least, round(canvas.measure.height(Style.TEXT) * ROW_LINES)))


def _rows(state: ChooseState, area: Rect, canvas: Canvas, targets: list[Target]) -> list[Mark]:
    height = row_height(canvas)
    room = max(1, int(area.height // height))
    middle = (state.mark or 0) - room // 2
    first = min(max(0, middle), max(0, len(state.rows) - room))
    seen = range(first, min(first + room, len(state.rows)))
    marks: list[Mark] = [*scroll_marks(area, canvas.page.margin, seen, len(state.rows))]
    for rank in seen:
        row = state.rows[rank]
        rect = Rect(area.x, area.y + (rank - first) * height, area.width, height)
        if row.choice is None:
            marks += _heading(row.name, rect, canvas)
        else:
            targets.append(Target(rect, Pick(rank)))
            marks += _row(row, rect, canvas, chosen=rank == state.mark)
    return marks


def _heading(name: str, rect: Rect, canvas: Canvas) -> Iterator[Mark]:
    gap = canvas.measure.height(Style.TEXT) * 0.7
    y = rect.y + rect.height * 0.6
    words = fitted(name, Style.TEXT, rect.width - 4 * gap, canvas.measure)
    yield Label(rect.x, y, words, Style.TEXT, Role.QUIET)
    left = rect.x + canvas.measure.width(words, Style.TEXT) + gap
    yield Rule(left, y, rect.right, y, Role.HAIR)


def _row(row: ChoiceRow, rect: Rect, canvas: Canvas, *, chosen: bool) -> Iterator[Mark]:
    measure = canvas.measure
    gap = measure.height(Style.TEXT) * 0.7
    y = rect.y + rect.height / 2
    style = Style.STRONG if chosen else Style.TEXT
    room = rect.width - 3 * gap
    name = fitted(row.name, style, room * NAME_SHARE if row.about else room, measure)
    left = rect.x + 2 * gap + measure.width(name, style)
    if chosen:
        yield Wash(rect, Role.WASH, 6.0)
        yield Label(rect.x + gap * 0.4, y, "›", Style.STRONG, Role.GUIDE)
    yield Label(rect.x + gap * 1.3, y, name, style)
    about = fitted(row.about, Style.TEXT, rect.right - 2 * gap - left, measure) if row.about else ""
    if about:
        yield Label(rect.right - gap, y, about, Style.TEXT, Role.QUIET, Anchor.RIGHT)
