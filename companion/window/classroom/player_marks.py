"""Draws the players of a class: each a small chanter with moving fingers and a name; and the words for one of them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from companion.window.classroom.class_layout import FINGERS_MM, chanter_within, mm_of
from companion.window.classroom.class_state import LearnerShown
from companion.window.classroom.class_words import Words
from companion.window.core.actions import Pick
from companion.window.core.display import Display, Print
from companion.window.core.hands import hand_marks
from companion.window.core.list_view import LEAST_ROW_PX
from companion.window.core.marks import Anchor, Label, Mark, Measure, Rect, Role, Rule, Style, Target, Wash
from companion.window.core.page import Page
from companion.window.core.wording import fitted, wrapped, wrapped_within

NAME_LINES = 1.3
LEAST_LENGTH_LINES = 3.6
"""A chanter that would be shorter cannot be read, and gives way to its player's name."""

LEAST_NAME_LINES = 2.4
AWAY = "unplugged"
NOBODY = "players: press P"


@dataclass(frozen=True, slots=True)
class Cells:
    """How players stand: in so many columns, each in a cell of that width and height; small: with no chanter."""

    columns: int
    width: float
    height: float
    small: bool


def cells_for(count: int, area: Rect, line: float, print_size: Print) -> Cells:
    """The cells in which the chanters are longest."""
    best = max(
        range(1, count + 1),
        key=lambda columns: (round(_length(count, columns, area, line)), -columns),
    )
    length = _length(count, best, area, line)
    if length >= LEAST_LENGTH_LINES * line:
        return Cells(best, area.width / best, length + line * (NAME_LINES + 0.4), small=False)
    return Cells(1, area.width, max(LEAST_ROW_PX[print_size], line * NAME_LINES), small=True)


def _length(count: int, columns: int, area: Rect, line: float) -> float:
    """How long a chanter may be in one of so many columns."""
    width, height = area.width / columns, area.height / math.ceil(count / columns)
    if columns > 1 and width < LEAST_NAME_LINES * line:
        return 0.0
    return _length_in(width, height, line)


def _length_in(width: float, height: float, line: float) -> float:
    """How long a chanter may be above its player's name, with room for raised fingers."""
    return min(height - line * (NAME_LINES + 0.4), width * 0.96 / (2 * FINGERS_MM * mm_of(1.0)))


def player_marks(
    learners: Sequence[LearnerShown],
    marked: int | None,
    at_s: float,
    area: Rect,
    page: Page,
    display: Display,
    measure: Measure,
) -> tuple[list[Mark], list[Target]]:
    """All players in an area; a click on one marks that one."""
    if not learners:
        words = fitted(NOBODY, Style.TEXT, area.width, measure)
        return [Label(area.right, area.y + page.line / 2, words, Style.TEXT, Role.QUIET, Anchor.RIGHT)], []
    cells = cells_for(len(learners), area, page.line, display.print)
    room = int(area.height // cells.height) * cells.columns if cells.small else len(learners)
    first = min(max(0, (marked or 0) - room + 1), max(0, len(learners) - room))
    marks: list[Mark] = []
    targets: list[Target] = []
    for rank in range(first, min(first + room, len(learners))):
        row, column = divmod(rank - first, cells.columns)
        x, y = area.x + column * cells.width, area.y + row * cells.height
        cell = Rect(x, y, cells.width, cells.height)
        marks += _player(learners[rank], cell, at_s, page, display, measure, marked=rank == marked, small=cells.small)
        targets.append(Target(cell, Pick(rank)))
    return marks, targets


def _player(
    learner: LearnerShown,
    cell: Rect,
    at_s: float,
    page: Page,
    display: Display,
    measure: Measure,
    *,
    marked: bool,
    small: bool,
) -> Iterator[Mark]:
    """Yield one player; the marked one stands on a plate, the name between small arrows."""
    if marked:
        yield Wash(Rect(cell.x + 1, cell.y + 1, cell.width - 2, cell.height - 2), Role.WASH, 8.0)
    line = page.line
    name_y = cell.y + cell.height / 2 if small else cell.bottom - line * NAME_LINES / 2
    style = Style.STRONG if marked else Style.TEXT
    told = f"› {learner.name}" if marked else learner.name
    words = f"{told}, {AWAY}" if learner.away else told
    if measure.width(words, style) > cell.width - line * 0.15:
        words = AWAY if learner.away else told
    words = fitted(words, style, cell.width - line * 0.15, measure)
    role = Role.QUIET if learner.away else Role.INK
    yield Label(cell.x + cell.width / 2, name_y, words, style, role, Anchor.CENTRE)
    if small:
        return
    length = _length_in(cell.width, cell.height, line)
    bottom = cell.bottom - line * NAME_LINES
    area = Rect(cell.x, bottom - length, cell.width, length)
    layout = chanter_within(area, page, cell, display.print)
    yield from hand_marks(learner.lanes, at_s, 1.0, layout, replace(display, print=Print.NORMAL))


def words_marks(words: Words, area: Rect, page: Page, measure: Measure) -> Iterator[Mark]:
    """Yield what is said to one player in place of all: the name, what went well, and below a line what to mend."""
    line = page.line
    yield Label(area.x, area.y + line * 0.8, fitted(words.name, Style.SECOND, area.width, measure), Style.SECOND)
    room = area.height - line * 1.8
    style, strengths, mend = _as_large_as_fits(words, Rect(area.x, area.y, area.width, room), measure)
    y, pitch = area.y + line * 1.9, measure.height(style)
    for text in strengths:
        yield Label(area.x, y + pitch / 2, text, style)
        y += pitch
    if strengths:
        yield Rule(area.x, y + line * 0.3, area.x + area.width * 0.4, y + line * 0.3, Role.GUIDE, 2.0)
        y += line * 0.6
    for text in mend:
        yield Label(area.x, y + pitch / 2, text, style)
        y += pitch


def _as_large_as_fits(words: Words, room: Rect, measure: Measure) -> tuple[Style, list[str], list[str]]:
    """The type in which all of it has room, and its lines; where none has, fewer strengths, then an ellipsis."""
    gap = measure.height(Style.TEXT) * 0.7
    for style in (Style.SECOND, Style.TEXT):
        mend = wrapped(words.mend, style, room.width, measure)
        for praised in (words.strengths, words.strengths[:1]) if style is Style.TEXT else (words.strengths,):
            strengths = [row for each in praised for row in wrapped(each, style, room.width, measure)]
            whole = (len(strengths) + len(mend)) * measure.height(style) + gap <= room.height
            if whole and all(measure.width(row, style) <= room.width for row in (*strengths, *mend)):
                return style, strengths, mend
    most = max(2, int((room.height - gap) // measure.height(Style.TEXT)))
    strengths = wrapped_within(" ".join(words.strengths[:1]), Style.TEXT, room.width, max(1, most // 2), measure)
    return Style.TEXT, strengths, wrapped_within(words.mend, Style.TEXT, room.width, most - len(strengths), measure)
