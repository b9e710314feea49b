"""Draws the map of all ordered pairs of notes: rows come from a note, columns go to one."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import permutations

from companion.schedule.crossing import NamedTransition
from companion.window.core.actions import Pick
from companion.window.core.hints import Hint, footer_of, hint_marks
from companion.window.core.marks import (
    Anchor,
    Dot,
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
from companion.window.core.page import Page
from companion.window.core.wording import capital, wrapped
from fingering.crossings.analysis import Crossing
from fingering.crossings.difficulty import GOOD_SPREAD_MS
from fingering.notes import Note

NotePair = tuple[Note, Note]
PAIRS: tuple[NotePair, ...] = tuple(permutations(Note, 2))
MEANING = (
    f"The chance in percent of a foreign note when each finger is off by some {GOOD_SPREAD_MS:g} ms "
    "(standard deviation). Computed, not measured."
)
_TITLE = "Crossings"
_CORNER = "from ↓ to →"


@dataclass(frozen=True, slots=True)
class Grid:
    """Where the map's cells stand."""

    area: Rect
    heads_x: float
    heads_y: float

    def cell(self, pair: NotePair) -> Rect:
        """The cell of a pair, in whole pixels so that none reaches into the next."""
        width, height = self.area.width // len(Note), self.area.height // len(Note)
        return Rect(round(self.area.x) + pair[1] * width, round(self.area.y) + pair[0] * height, width, height)


def difficulty_marks(difficulty: float, x: float, y: float, radius: float) -> Dot:
    """A disc whose area grows with the difficulty, `radius` at 1; a small ring where no foreign note can sound."""
    if difficulty <= 0.0:
        return Dot(x, y, max(2.5, radius * 0.2), Role.PAST, filled=False)
    return Dot(x, y, radius * math.sqrt(difficulty), Role.FAULT)


def map_picture(
    pairs: Mapping[NotePair, Crossing],
    chosen: NotePair,
    hints: Sequence[Hint],
    width: int,
    height: int,
    measure: Measure,
) -> Picture:
    """The picture of the map, `width` x `height` pixels, with one pair chosen."""
    page = Page.of(width, height, measure)
    margin, line = page.margin, page.line
    footer = footer_of(hints, page, measure)
    legend, legend_y = meaning_above(footer, measure)
    title_x = margin + measure.width(_TITLE, Style.LARGE) + line * 1.5
    sentences = {pair: _about(crossing, width - margin - title_x, measure) for pair, crossing in pairs.items()}
    about_lines = 1 + max(map(len, sentences.values()))
    top = page.top + max(page.title_height, line * (about_lines + 0.3))
    heads = max(measure.width(text, Style.STRONG) for text in (_CORNER, *(note.label for note in Note))) + line * 0.5
    area = Rect(margin + heads, top + line * 1.3, page.inner - heads, legend_y - top - line * 1.6)
    grid = Grid(area, margin, top + line * 0.65)
    keys, key_targets = hint_marks(hints, footer, measure)
    marks: list[Mark] = [
        Label(margin, page.title_y, _TITLE, Style.LARGE),
        *_chosen(chosen, pairs[chosen], sentences[chosen], title_x, page.top, line),
        *_heads(grid, chosen),
        *(mark for pair in pairs for mark in _cell(grid.cell(pair), pairs[pair].difficulty, pair == chosen, line)),
        *legend,
        *keys,
    ]
    targets = [Target(grid.cell(pair), Pick(PAIRS.index(pair))) for pair in pairs]
    return Picture(width, height, tuple(marks), (), (*targets, *key_targets))


def meaning_above(footer: Rect, measure: Measure) -> tuple[list[Mark], float]:
    """What the numbers mean, as words above the keys; and where these words begin."""
    line = measure.height(Style.TEXT)
    words = wrapped(MEANING, Style.TEXT, footer.width, measure)
    top = footer.y - line * (len(words) + 0.25)
    return [
        Label(footer.x, top + line * (rank + 0.5), text, Style.TEXT, Role.QUIET) for rank, text in enumerate(words)
    ], top


def _about(crossing: Crossing, width: float, measure: Measure) -> list[str]:
    return wrapped(f"{capital(crossing.lesson.sentence)}.", Style.TEXT, width, measure)


def _chosen(
    pair: NotePair, crossing: Crossing, sentence: Sequence[str], x: float, top: float, line: float
) -> Iterator[Mark]:
    """The chosen pair in words, beside the title."""
    words = f"{NamedTransition.between(*pair)}: {percent(crossing.difficulty)}"
    yield Label(x, top + line * 0.7, words, Style.STRONG)
    for rank, text in enumerate(sentence):
        yield Label(x, top + line * (1.7 + rank), text)


def percent(chance: float) -> str:
    """A chance, 0 to 1, in words."""
    return f"{100 * chance:.0f} %"


def _heads(grid: Grid, chosen: NotePair) -> Iterator[Mark]:
    """The notes beside the rows and above the columns, those of the chosen pair strong."""
    yield Label(grid.heads_x, grid.heads_y, _CORNER, Style.TEXT, Role.QUIET)
    for note in Note:
        cell = grid.cell((note, note))
        for rank, (x, y, anchor) in enumerate(
            (
                (grid.heads_x, cell.y + cell.height / 2, Anchor.LEFT),
                (cell.x + cell.width / 2, grid.heads_y, Anchor.CENTRE),
            )
        ):
            strong = note is chosen[rank]
            style, role = (Style.STRONG, Role.INK) if strong else (Style.TEXT, Role.QUIET)
            yield Label(x, y, note.label, style, role, anchor)
        yield Rule(grid.heads_x, cell.y, grid.area.right, cell.y, Role.HAIR)


def _cell(cell: Rect, difficulty: float, chosen: bool, line: float) -> Iterator[Mark]:
    """Yield a cell's disc and number."""
    radius = min(cell.height * 0.46, cell.width * 0.28)
    x, y = cell.x + cell.width * 0.31, cell.y + cell.height / 2
    yield difficulty_marks(difficulty, x, y, radius)
    style, role = (Style.STRONG, Role.INK) if difficulty > 0.0 else (Style.TEXT, Role.QUIET)
    yield Label(x + radius * 0.8 + line * 0.3, y, f"{100 * difficulty:.0f}", style, role)
    if chosen:
        yield Frame(Rect(cell.x + 2, cell.y + 1, cell.width - 4, cell.height - 2), Role.GUIDE, 3.0)
