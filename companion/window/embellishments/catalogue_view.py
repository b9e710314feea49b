"""Draws the catalogue of embellishments as a list by family: name, spelling and a strip of the fingers' movements."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from companion.window.core.actions import Pick
from companion.window.core.display import Print
from companion.window.core.hints import Hint, footer_of, hint_marks
from companion.window.core.list_view import scroll_marks
from companion.window.core.marks import Label, Mark, Measure, Picture, Rect, Role, Rule, Style, Target, Wash
from companion.window.core.screen import Canvas
from companion.window.core.wording import capital, fitted, wrapped_within
from companion.window.embellishments.catalogue import CatalogueRow, catalogue_rows, found_rows
from companion.window.embellishments.catalogue_state import CatalogueState
from companion.window.embellishments.strips import strip_marks
from companion.window.embellishments.subject import subject_of
from fingering.embellishments import Family

TITLE = "Embellishments"
NOTHING_TYPED = "type to search: a name, like taor, or gracenotes, like GdGe"
LEAST_ROW_PX = {Print.NORMAL: 28.0, Print.BIG: 46.0}
ROW_LINES = 2.1
MOST_SENTENCE_LINES = 3
MOST_NAME_SHARE, MOST_SPELLING_SHARE = 0.54, 0.24
"""Of the width, at most: the column of names, and that of spellings behind it; the strips have the rest."""


@dataclass(frozen=True, slots=True)
class _Places:
    """Where the rows and the sentence below them stand, and how high a row is."""

    rows: Rect
    sentence_top: float
    row_height: float
    footer: Rect


def catalogue_picture(state: CatalogueState, hints: Sequence[Hint], canvas: Canvas) -> Picture:
    """The picture of the list; it is scrolled so that the marked row is in sight."""
    places = _places(hints, canvas)
    keys, key_targets = hint_marks(hints, places.footer, canvas.measure)
    marks: list[Mark] = [*_header(state, canvas), *_sentence(state, places, canvas), *keys]
    targets = []
    if state.rows:
        marks += scroll_marks(places.rows, canvas.page.margin, _in_sight(state, places), len(_lines(state.search)))
    for line, rect in _lines_in_sight(state, places):
        if isinstance(line, Family):
            marks += _heading(line, rect)
        else:
            marks += _row(state.rows[line], rect, canvas.measure, chosen=line == state.rank)
            targets.append(Target(rect, Pick(line)))
    return Picture(canvas.width, canvas.height, tuple(marks), (), (*targets, *key_targets))


def _places(hints: Sequence[Hint], canvas: Canvas) -> _Places:
    page, measure = canvas.page, canvas.measure
    footer = footer_of(hints, page, measure).on_pixels
    sentence_top = footer.y - page.line * (_sentence_lines(page.inner, measure) + 0.9)
    top = page.below_title() + page.line * 0.8
    row_height = float(round(max(LEAST_ROW_PX[canvas.display.print], page.line * ROW_LINES)))
    return _Places(
        Rect(page.margin, top, page.inner, sentence_top - page.line * 0.3 - top), sentence_top, row_height, footer
    )


@lru_cache(maxsize=32)
def _sentence_lines(width: float, measure: Measure) -> int:
    """How many lines the longest sentence takes, so that the list does not move with the mark."""
    sentences = {row.entry.embellishment.how_it_is_played for row in catalogue_rows()}
    return max(len(wrapped_within(each, Style.TEXT, width, MOST_SENTENCE_LINES, measure)) for each in sentences)


@lru_cache(maxsize=32)
def _columns(width: float, measure: Measure) -> tuple[float, float]:
    """Where the spellings and the strips begin in rows of that width, so that the longest name has room if it can."""
    gap = measure.height(Style.TEXT)
    name = max(measure.width(row.name, Style.STRONG) for row in catalogue_rows()) + 2.0 * gap
    spelling = max(measure.width(row.spelling, Style.STRONG) for row in catalogue_rows()) + gap
    spelling_x = min(name, width * MOST_NAME_SHARE)
    return spelling_x, spelling_x + min(spelling, width * MOST_SPELLING_SHARE)


def _header(state: CatalogueState, canvas: Canvas) -> Iterator[Mark]:
    page, measure = canvas.page, canvas.measure
    yield Label(page.margin, page.title_y, fitted(TITLE, Style.LARGE, page.inner, measure), Style.LARGE)
    y = page.below_title()
    if not state.search:
        yield Label(page.margin, y, fitted(NOTHING_TYPED, Style.TEXT, page.inner, measure), Style.TEXT, Role.QUIET)
        return
    found = f"{len(state.rows)} found" if state.rows else "none is called or spelled like this"
    room = page.inner - measure.width(found, Style.TEXT) - page.line * 2.0
    shown = fitted(f"search: {state.search}", Style.STRONG, room, measure)
    yield Label(page.margin, y, shown, Style.STRONG)
    end = page.margin + measure.width(shown, Style.STRONG) + page.line * 0.12
    yield Rule(end, y - page.line * 0.36, end, y + page.line * 0.36, Role.GUIDE, 2.0)
    yield Label(end + page.line, y, found, Style.TEXT, Role.QUIET)


def _sentence(state: CatalogueState, places: _Places, canvas: Canvas) -> Iterator[Mark]:
    """Yield how the marked embellishment is played."""
    if state.marked is None:
        return
    page = canvas.page
    words = state.marked.entry.embellishment.how_it_is_played
    yield Rule(page.margin, places.sentence_top, page.margin + page.inner, places.sentence_top, Role.HAIR)
    for rank, text in enumerate(wrapped_within(words, Style.TEXT, page.inner, MOST_SENTENCE_LINES, canvas.measure)):
        yield Label(page.margin, page.words_y(places.sentence_top + page.line * 0.3, rank), text)


Line = Family | int
"""A line of the list: a family's heading, or the rank of a row."""


def _in_sight(state: CatalogueState, places: _Places) -> range:
    """The lines that have room around the marked row."""
    lines = _lines(state.search)
    room = max(1, int(places.rows.height // places.row_height))
    first = min(max(0, lines.index(state.rank) - room // 2), max(0, len(lines) - room))
    return range(first, min(first + room, len(lines)))


def _lines_in_sight(state: CatalogueState, places: _Places) -> Iterator[tuple[Line, Rect]]:
    """Yield the lines that have room, and where; the heading of the first row stays in sight."""
    if not state.rows:
        return
    inside = _in_sight(state, places)
    seen = list(_lines(state.search)[inside.start : inside.stop])
    if state.by_family and isinstance(top := seen[0], int) and top != state.rank:
        seen[0] = state.rows[top].family
        if seen[0] is not state.rows[min(top + 1, len(state.rows) - 1)].family:
            del seen[0]
    for place, line in enumerate(seen):
        y = places.rows.y + place * places.row_height
        yield line, Rect(places.rows.x, y, places.rows.width, places.row_height)


@lru_cache(maxsize=32)
def _lines(search: str) -> tuple[Line, ...]:
    """All lines of what a search finds: the rows, and without one the heading of each family before its first."""
    rows = found_rows(search)
    lines: list[Line] = []
    for rank, row in enumerate(rows):
        if not search.strip() and (rank == 0 or row.family is not rows[rank - 1].family):
            lines.append(row.family)
        lines.append(rank)
    return tuple(lines)


def _heading(family: Family, rect: Rect) -> Iterator[Mark]:
    y = rect.y + rect.height * 0.6
    yield Label(rect.x, y, capital(family.plural), Style.STRONG, Role.GUIDE)
    yield Rule(rect.x, rect.bottom - 2.0, rect.right, rect.bottom - 2.0, Role.HAIR)


def _row(row: CatalogueRow, rect: Rect, measure: Measure, *, chosen: bool) -> Iterator[Mark]:
    gap = measure.height(Style.TEXT) * 0.6
    middle = rect.y + rect.height / 2
    style = Style.STRONG if chosen else Style.TEXT
    if chosen:
        yield Wash(rect, Role.WASH, 6.0)
        yield Label(rect.x + gap * 0.4, middle, "›", Style.STRONG, Role.GUIDE)
    name_x = rect.x + gap * 1.4
    spelling_x, strip_x = (rect.x + each for each in _columns(rect.width, measure))
    yield Label(name_x, middle, fitted(row.name, style, spelling_x - name_x - gap, measure), style)
    spelling = fitted(row.spelling, Style.STRONG, strip_x - spelling_x - gap, measure)
    yield Label(spelling_x, middle, spelling, Style.STRONG)
    inside = rect.height * 0.84
    yield from strip_marks(
        subject_of(row.entry), Rect(strip_x, round(middle - inside / 2), rect.right - gap * 0.5 - strip_x, inside)
    )
