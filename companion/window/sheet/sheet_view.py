"""Draws the sheet: a group of what can be done, each row with its keys, what is set, and a plain sentence."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum

from companion.window.core.actions import Action, Ask, Pick, TurnTo
from companion.window.core.hints import Group, Hint, cap_height, cap_marks, cap_width
from companion.window.core.list_view import scroll_marks
from companion.window.core.marks import Anchor, Frame, Label, Mark, Rect, Role, Rule, Style, Target, Wash
from companion.window.core.page import LEAST_TARGET_PX
from companion.window.core.screen import Canvas
from companion.window.core.wording import fitted, wrapped_within

HOW_TO = "↓ ↑ move    ← → change    Tab group    Esc close"
REMEMBERED = "Remembered: hands, colours, print, gracenotes, sound, rests, and what you play on."
REMEMBERED_BRIEFLY = "Most of this is remembered for the next time."
LEAST_ROOM_PX = 8.0  # round the sheet
AIRY_LINES, TIGHT_LINES = 1.6, 1.3  # the height of a row of one line, in lines of text: if it has room, and at least
CAP_GAP_PX = 6.0
MOST_LINES = 62.0  # its width, in lines of text: longer ones are hard to read


class Sentences(Enum):
    """Where the rows' sentences stand: beside their words, below them, or beside where they fit.

    Of the last, the marked row's stands below all rows where it does not fit.
    """

    BESIDE = "beside"
    BELOW = "below"
    MARKED = "marked"


@dataclass(frozen=True, slots=True)
class Sheet:
    """What the sheet shows: its rows, all groups', and the rank of the marked one."""

    hints: tuple[Hint, ...]
    rank: int

    @property
    def groups(self) -> tuple[Group, ...]:
        """The groups that have rows, in order."""
        return tuple(group for group in Group if any(hint.group is group for hint in self.hints))

    @property
    def group(self) -> Group:
        """The group that is shown: that of the marked row."""
        return self.hints[self.rank].group

    def ranks(self, group: Group) -> tuple[int, ...]:
        """The ranks of a group's rows."""
        return tuple(rank for rank, hint in enumerate(self.hints) if hint.group is group)


@dataclass(frozen=True, slots=True)
class _Places:
    """Where the sheet stands and how its rows are cut; `most` is the number of rows that have room."""

    panel: Rect
    inner: Rect
    caps: float
    words: float
    row: float
    most: int
    sentences: Sentences


_MOVES = (Action.TEMPO_DOWN, Action.TEMPO_UP)


def sheet_place(sheet: Sheet, canvas: Canvas) -> Rect:
    """Where the sheet lies."""
    return _places(sheet, canvas).panel


def sheet_marks(sheet: Sheet, canvas: Canvas) -> tuple[list[Mark], list[Target]]:
    """The sheet as marks, to be drawn over a picture, and as click targets."""
    places = _places(sheet, canvas)
    marks: list[Mark] = [Wash(places.panel, Role.GROUND), Frame(places.panel, Role.PAST, 1.5, 10.0)]
    targets: list[Target] = []
    top = places.inner.y
    _add_tabs(sheet, places, canvas, marks, targets)
    top += _tabs_height(canvas) + canvas.page.line * 0.3
    shown = _shown(sheet, places.most)
    for place, rank in enumerate(shown):
        row = Rect(places.inner.x, top + place * places.row, places.inner.width, places.row)
        marks += _row_marks(sheet.hints[rank], row, places, canvas, marked=rank == sheet.rank)
        targets += _row_targets(sheet.hints[rank], rank, row, canvas)
    marks += _more_rows(sheet, Rect(places.inner.x, top, places.inner.width, len(shown) * places.row), places, shown)
    marks += _below(sheet, top + len(shown) * places.row, places, canvas)
    return marks, targets


def _more_rows(sheet: Sheet, area: Rect, places: _Places, shown: Sequence[int]) -> tuple[Mark, ...]:
    """What of the group's rows is in sight, at the right of them, where not all are."""
    ranks = sheet.ranks(sheet.group)
    first = ranks.index(shown[0])
    margin = places.panel.right - places.inner.right
    return scroll_marks(area, margin, range(first, first + len(shown)), len(ranks))


def _shown(sheet: Sheet, most: int) -> tuple[int, ...]:
    """The ranks of the rows in sight: those of the group, scrolled to the marked one where they have no room."""
    ranks = sheet.ranks(sheet.group)
    first = min(max(0, ranks.index(sheet.rank) - most // 2), max(0, len(ranks) - most))
    return ranks[first : first + most]


def _places(sheet: Sheet, canvas: Canvas) -> _Places:
    """The places for the largest of the groups, so that the sheet keeps its size from one to another."""
    page, measure = canvas.page, canvas.measure
    width = min(canvas.width - 2 * LEAST_ROOM_PX, page.line * MOST_LINES)
    pad = page.line * 0.7
    caps = max(_caps_width(hint, canvas) for hint in sheet.hints)
    words = max(measure.width(hint.words, Style.STRONG) for hint in sheet.hints) + page.line
    sentence = max(measure.width(hint.sentence, Style.TEXT) for hint in sheet.hints)
    rows = max(len(sheet.ranks(group)) for group in sheet.groups)
    above = _tabs_height(canvas) + page.line * 0.3
    room = canvas.height - 2 * (LEAST_ROOM_PX + pad) - above
    airy = min(page.line * AIRY_LINES, (room - page.line * 2.4) / rows)
    single = max(LEAST_TARGET_PX, page.line * TIGHT_LINES, airy)
    double = max(LEAST_TARGET_PX, page.line * 2.3)
    if caps + page.line * 0.3 + words + sentence <= width - 2 * pad and rows * single + page.line * 1.6 <= room:
        sentences, row, below = Sentences.BESIDE, single, page.line * 1.6
    elif rows * double + page.line * 1.6 <= room:
        sentences, row, below = Sentences.BELOW, double, page.line * 1.6
    else:
        fits = sentence <= width - 2 * pad
        sentences, row, below = Sentences.MARKED, single, page.line * (1.6 if fits else 2.4)
    most = max(1, min(rows, int((room - below) // row)))
    height = above + most * row + below + 2 * pad
    if (canvas.height - height) / 2 < page.body_top:
        height = canvas.height - 2 * LEAST_ROOM_PX  # or the large word at the top would be cut in two
    panel = Rect((canvas.width - width) / 2, (canvas.height - height) / 2, width, height)
    inner = Rect(panel.x + pad, panel.y + pad, width - 2 * pad, height - 2 * pad)
    return _Places(panel, inner, caps, words, row, most, sentences)


def _tabs_height(canvas: Canvas) -> float:
    return max(LEAST_TARGET_PX, canvas.page.line * AIRY_LINES)


def _caps_width(hint: Hint, canvas: Canvas) -> float:
    return sum(room.width for _, room in _caps_in(hint, Rect(0.0, 0.0, 0.0, 0.0), canvas)) + canvas.page.line * 0.5


def _add_tabs(sheet: Sheet, places: _Places, canvas: Canvas, marks: list[Mark], targets: list[Target]) -> None:
    page, measure = canvas.page, canvas.measure
    x, middle = places.inner.x, places.inner.y + _tabs_height(canvas) / 2
    for place, group in enumerate(sheet.groups):
        style = Style.STRONG if group is sheet.group else Style.TEXT
        width = max(measure.width(group.value, style), LEAST_TARGET_PX - page.line)
        targets.append(Target(Rect(x, places.inner.y, width + page.line, _tabs_height(canvas)), TurnTo(place)))
        marks.append(Label(x, middle, group.value, style, Role.INK if group is sheet.group else Role.QUIET))
        if group is sheet.group:
            y = middle + page.line * 0.62
            marks.append(Rule(x, y, x + measure.width(group.value, style), y, Role.GUIDE, 3.0))
        x += width + page.line
    right, quiet = places.inner.right, Role.QUIET
    words = fitted(HOW_TO, Style.TEXT, right - x, measure)
    marks.append(Label(right, middle, words, Style.TEXT, quiet, Anchor.RIGHT))


def _caps_in(hint: Hint, row: Rect, canvas: Canvas) -> Iterator[tuple[str, Rect]]:
    """Yield the caps of a row, each with the room it has to be hit in."""
    x = row.x + canvas.page.line * 0.5
    for cap in hint.caps:
        wide = max(cap_width(cap, canvas.measure), LEAST_TARGET_PX - CAP_GAP_PX) + CAP_GAP_PX
        yield cap, Rect(x, row.y, wide, row.height)
        x += wide


def _row_targets(hint: Hint, rank: int, row: Rect, canvas: Canvas) -> Iterator[Target]:
    """Yield what can be clicked in a row: each key for itself, and the whole of it."""
    for (_, room), action in zip(_caps_in(hint, row, canvas), hint.actions, strict=False):
        yield Target(room, Ask(action), _MOVES)
    yield Target(row, Pick(rank), _MOVES)


def _stands_beside(hint: Hint, places: _Places, canvas: Canvas) -> bool:
    """Whether a row's sentence stands beside its words: all do, or those that fit."""
    line, width = canvas.page.line, canvas.measure.width(hint.sentence, Style.TEXT)
    fits = places.caps + line * 0.3 + places.words + width <= places.inner.width
    return places.sentences is not Sentences.BELOW and fits


def _row_marks(hint: Hint, row: Rect, places: _Places, canvas: Canvas, *, marked: bool) -> Iterator[Mark]:
    line, measure = canvas.page.line, canvas.measure
    if marked:
        yield Wash(row, Role.WASH, 6.0)
        yield Rule(row.x + 1.5, row.y + 6.0, row.x + 1.5, row.bottom - 6.0, Role.GUIDE, 3.0)
    high = cap_height(measure)
    for cap, room in _caps_in(hint, row, canvas):
        yield from cap_marks(cap, Rect(room.x, row.y + (row.height - high) / 2, room.width - CAP_GAP_PX, high))
    below = places.sentences is Sentences.BELOW
    left, middle = row.x + places.caps + line * 0.3, row.y + (line * 0.72 if below else row.height / 2)
    words = fitted(hint.words, Style.STRONG, row.right - left, measure)
    yield Label(left, middle, words, Style.STRONG if marked else Style.TEXT)
    if _stands_beside(hint, places, canvas):
        yield Label(left + places.words, middle, hint.sentence, Style.TEXT, Role.QUIET)
    elif below:
        sentence = fitted(hint.sentence, Style.TEXT, row.right - left, measure)
        yield Label(left, middle + line * 0.95, sentence, Style.TEXT, Role.QUIET)


def _below(sheet: Sheet, top: float, places: _Places, canvas: Canvas) -> Iterator[Mark]:
    """Yield the words below the rows: the marked row's sentence where it has no other place, or what is remembered."""
    marked = places.sentences is Sentences.MARKED and not _stands_beside(sheet.hints[sheet.rank], places, canvas)
    text = sheet.hints[sheet.rank].sentence if marked else REMEMBERED
    if not marked and canvas.measure.width(text, Style.TEXT) > places.inner.width:
        text = REMEMBERED_BRIEFLY
    lines: Sequence[str] = wrapped_within(text, Style.TEXT, places.inner.width, 2 if marked else 1, canvas.measure)
    for place, words in enumerate(lines):
        y = top + canvas.page.line * (0.85 + place * 0.95)
        yield Label(places.inner.x, y, words, Style.TEXT, Role.QUIET)
