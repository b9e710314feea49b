"""Draws the map of every change of note: rows come from a note, columns go to one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from companion.schedule.tune_use import NotePair
from companion.window.core.actions import Pick
from companion.window.core.display import Print
from companion.window.core.hints import Hint, footer_of, hint_marks
from companion.window.core.marks import (
    Anchor,
    Arrow,
    Direction,
    Frame,
    Label,
    Mark,
    Measure,
    Picture,
    Rect,
    Role,
    Rule,
    Style,
    Target,
)
from companion.window.core.screen import Canvas
from companion.window.crossing.about_lines import Wording, lines_about, lines_needed
from companion.window.crossing.change_facts import MEANINGS, PAIRS, ChangeFacts, Changes
from companion.window.crossing.noise_marks import key_above, kind_of, level_marks, noise_mark
from fingering.notes import Note

LEAST_CELL_PX = 24.0  # WCAG 2.2, 2.5.8
LEAST_CELL_BIG_PX = 44.0  # the same, 2.5.5
ASIDE = "grey: never in our tunes"
_WORDINGS: tuple[tuple[Wording, tuple[str, ...]], ...] = (  # from the fullest on
    (Wording.FULL, MEANINGS),
    (Wording.BRIEF, MEANINGS),
    (Wording.BRIEF, ()),
    (Wording.LEAST, ()),
)
_WHERE_SOME_ARE_HIDDEN: tuple[Wording, tuple[str, ...]] = (Wording.BRIEF, ())
_CORNER = "from ↓ to →"


@dataclass(frozen=True, slots=True)
class RowsInSight:
    """The notes in sight along one side of the map, `count` of them from `first` on."""

    first: int
    count: int

    @property
    def notes(self) -> tuple[Note, ...]:
        """These notes."""
        return tuple(Note)[self.first : self.first + self.count]

    @classmethod
    def about(cls, note: Note, room: int) -> RowsInSight:
        """As many notes as there is room for, `note` among them."""
        count = max(1, min(len(Note), room))
        return cls(min(max(0, note - count // 2), len(Note) - count), count)


@dataclass(frozen=True, slots=True)
class Grid:
    """Where the map's cells stand: as many rows and columns as there is room for."""

    area: Rect
    heads_x: float
    heads_y: float
    starts: RowsInSight
    ends: RowsInSight

    @property
    def whole(self) -> bool:
        """Whether all cells are in sight."""
        return self.starts.count == self.ends.count == len(Note)

    def cell(self, pair: NotePair) -> Rect:
        """The cell of a pair in sight, in whole pixels so that none reaches into the next."""
        width, height = self.area.width // self.ends.count, self.area.height // self.starts.count
        column, row = pair[1] - self.ends.first, pair[0] - self.starts.first
        return Rect(round(self.area.x) + column * width, round(self.area.y) + row * height, width, height)


@dataclass(frozen=True, slots=True)
class _Surroundings:
    """What stands above the map and below it, and the y between which the map has room."""

    marks: tuple[Mark, ...]
    top: float
    bottom: float


def map_picture(changes: Changes, chosen: NotePair, hints: Sequence[Hint], canvas: Canvas) -> Picture:
    """The picture of the map with one pair chosen; where not all have room, the chosen one is among those seen."""
    measure = canvas.measure
    footer = footer_of(hints, canvas.page, measure)
    around = _surroundings(changes, chosen, footer, canvas)
    grid = _grid(chosen, around.top, around.bottom, canvas)
    keys, key_targets = hint_marks(hints, footer, measure)
    seen = [pair for pair in PAIRS if pair[0] in grid.starts.notes and pair[1] in grid.ends.notes]
    marks: list[Mark] = [*around.marks, *_heads(grid, chosen, canvas.page.line), *keys]
    for pair in seen:
        marks += _Cell(grid.cell(pair), measure).marks(changes.by_pair[pair], pair == chosen)
    targets = [Target(grid.cell(pair), Pick(PAIRS.index(pair))) for pair in seen]
    return Picture(canvas.width, canvas.height, tuple(marks), (), (*targets, *key_targets))


def _surroundings(changes: Changes, chosen: NotePair, footer: Rect, canvas: Canvas) -> _Surroundings:
    """The words about the chosen pair and what the shapes mean: as many of them as leave room for all rows."""
    page, measure = canvas.page, canvas.measure
    facts = changes.by_pair[chosen]

    def room(wording: Wording, meanings: Sequence[str]) -> tuple[float, float]:
        lines = lines_needed(changes, facts, wording, page.inner, measure)
        top = page.top + page.title_height + lines * page.line
        return top, key_above(footer, measure, meanings, ASIDE)[1]

    fit = (each for each in _WORDINGS if _grid(chosen, *room(*each), canvas).whole)
    wording, meanings = next(fit, _WHERE_SOME_ARE_HIDDEN)
    top, bottom = room(wording, meanings)
    key, _ = key_above(footer, measure, meanings, ASIDE)
    labels = [Label(page.margin, page.title_y, facts.headline(page.inner, measure), Style.LARGE)]
    words = lines_about(facts, wording, page.inner, measure)
    labels += [Label(page.margin, page.below_title(rank), text) for rank, text in enumerate(words)]
    return _Surroundings((*labels, *key), top, bottom)


def _grid(chosen: NotePair, top: float, bottom: float, canvas: Canvas) -> Grid:
    measure, page = canvas.measure, canvas.page
    line = page.line
    heads = max(measure.width(text, Style.STRONG) for text in (_CORNER, *(note.label for note in Note))) + line * 0.5
    area_top = top + line * 1.35
    area = Rect(page.margin + heads, area_top, page.inner - heads, bottom - line * 0.3 - area_top)
    target = LEAST_CELL_BIG_PX if canvas.display.print is Print.BIG else LEAST_CELL_PX
    ends = RowsInSight.about(chosen[1], int(area.width // max(target, _Cell.least_width(measure))))
    least = max(target, _Cell.least_height(area.width // ends.count, measure))
    return Grid(area, page.margin, top + line * 0.7, RowsInSight.about(chosen[0], int(area.height // least)), ends)


def _heads(grid: Grid, chosen: NotePair, line: float) -> Iterator[Mark]:
    """The notes beside the rows and above the columns, the chosen pair's strong; signs where others are hidden."""
    starts, ends = grid.starts, grid.ends
    yield Label(grid.heads_x, grid.heads_y, _CORNER, Style.TEXT, Role.QUIET)
    for note in ends.notes:
        cell = grid.cell((starts.notes[0], note))
        yield _head(note, cell.x + cell.width / 2, grid.heads_y, Anchor.CENTRE, note is chosen[1])
    for note in starts.notes:
        cell = grid.cell((note, ends.notes[0]))
        yield _head(note, grid.heads_x, cell.y + cell.height / 2, Anchor.LEFT, note is chosen[0])
        yield Rule(grid.heads_x, cell.y, grid.area.right, cell.y, Role.HAIR)
    aside = grid.area.x - line * 0.5
    for note, way in ((starts.notes[0], Direction.UP), (starts.notes[-1], Direction.DOWN)):
        if note not in (Note.LOW_G, Note.HIGH_A) or (note is Note.LOW_G) is (way is Direction.DOWN):
            cell = grid.cell((note, ends.notes[0]))
            yield Arrow(aside, cell.y + cell.height / 2, line * 0.7, way, Role.QUIET)
    for note, sign, x in ((ends.notes[0], "‹", aside), (ends.notes[-1], "›", grid.area.right + line * 0.1)):
        if note not in (Note.LOW_G, Note.HIGH_A) or (note is Note.LOW_G) is (sign == "›"):
            yield Label(x, grid.heads_y + line * 0.7, sign, Style.STRONG, Role.QUIET)


def _head(note: Note, x: float, y: float, anchor: Anchor, chosen: bool) -> Label:
    style, role = (Style.STRONG, Role.INK) if chosen else (Style.TEXT, Role.QUIET)
    return Label(x, y, note.label, style, role, anchor)


@lru_cache(maxsize=8)
def _widest_name(measure: Measure) -> float:
    return max(measure.width(note.label, Style.STRONG) for note in Note)


class _Cell:
    """One cell: the shape of its noise, the note that flashes, and strokes for how hard it is.

    Where it is wide the shape stands beside the words, else below them.
    """

    def __init__(self, rect: Rect, measure: Measure) -> None:
        self._rect = rect
        self._line = measure.height(Style.TEXT)
        self._wide = rect.width >= self.wide_from(measure)
        self._name = _widest_name(measure)

    @classmethod
    def wide_from(cls, measure: Measure) -> float:
        """From which width on a cell has room for its shape beside its words."""
        line = measure.height(Style.TEXT)
        return _widest_name(measure) + line * 1.5

    @classmethod
    def least_width(cls, measure: Measure) -> float:
        """The least width at which the notes at the head of two columns stand apart."""
        return _widest_name(measure) + measure.height(Style.TEXT) * 0.3

    @classmethod
    def least_height(cls, width: float, measure: Measure) -> float:
        """The least height at which nothing in a cell of that width meets anything else."""
        return measure.height(Style.TEXT) * (1.4 if width >= cls.wide_from(measure) else 1.75)

    def marks(self, facts: ChangeFacts, chosen: bool) -> Iterator[Mark]:
        """Its marks, and a frame where it is the chosen one."""
        rect, line, noise = self._rect, self._line, facts.hardness.noise
        middle, centre = rect.x + rect.width / 2, rect.y + rect.height / 2
        if self._wide:
            radius = min(rect.height * 0.34, line * 0.72, (rect.width - self._name) * 0.32)
            shape_x = middle - (self._name + radius * 2.6) / 2
            words_x = strokes_x = shape_x + radius * 2.6
            words_y, shape_y = centre - line * 0.26, centre
            strokes_y, stroke = centre + line * 0.35 if noise else centre, line * 0.36
        else:
            radius = min(rect.height * 0.2, line * 0.36)
            shape_x = words_x = middle - self._name / 2
            strokes_x = shape_x + radius * 2 + line * 0.3
            words_y, shape_y = centre - line * 0.37, centre + line * 0.4
            strokes_y, stroke = shape_y, line * 0.46
        yield noise_mark(kind_of(noise), shape_x + radius, shape_y, radius)
        yield from level_marks(facts.hardness.level, strokes_x, strokes_y, stroke)
        if noise:
            style, role = (Style.STRONG, Role.INK) if facts.times else (Style.TEXT, Role.QUIET)
            yield Label(words_x, words_y, noise.note.label, style, role)
        if chosen:
            yield Frame(Rect(rect.x + 2, rect.y + 1, rect.width - 4, rect.height - 2), Role.GUIDE, 3.0)
