"""Draws a crossing noise and how hard a movement is as shapes, and the key that explains them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from companion.window.core.display import Print
from companion.window.core.marks import Arrow, Direction, Dot, Label, Mark, Measure, Rect, Role, Rule, Style
from companion.window.core.wording import wrapped
from companion.window.crossing.change_facts import MEANINGS
from fingering.crossings.hardness import HardnessLevel
from fingering.crossings.noise import LikelyNoise, NoiseKind

LEAST_ROW_PX = {Print.NORMAL: 28.0, Print.BIG: 44.0}
"""How tall the rows of the lists are at least: targets for a mouse, and for a finger on a screen (WCAG 2.2, 2.5.5)."""
STROKE_SHARE, STROKE_GAP_SHARE = 0.34, 0.3  # how wide a stroke and the gap after it are, of its height
STROKES_SHARE = 0.6  # how tall they are in a line of words
KEY_RADIUS_SHARE, KEY_INNER_SHARE, KEY_GAP_SHARE = 0.4, 0.3, 0.9  # of a line: a shape, before its words, after them
KEY_KINDS: tuple[tuple[NoiseKind | None, str], ...] = (
    (NoiseKind.LOWER, "a lower note flashes"),
    (NoiseKind.BETWEEN, "one in between"),
    (NoiseKind.VEIL, "a veil, no clear note"),
    (None, "clean"),
)
KEY_SHORT = ("lower note", "in between", "veil", "clean")
KEY_LEVEL, KEY_LEVEL_SHORT = "the more strokes, the harder", "hard"


def kind_of(noise: LikelyNoise | None) -> NoiseKind | None:
    """The kind of a noise; None for none."""
    return noise.kind if noise else None


def noise_mark(kind: NoiseKind | None, x: float, y: float, radius: float) -> Mark:
    """The shape of a crossing noise, about (x, y), no larger than `radius` each way.

    An arrow down for a lower note, a disc for one in between, a ring for a veil, a short line where nothing flashes.
    """
    match kind:
        case NoiseKind.LOWER:
            return Arrow(x, y, radius * 2.0, Direction.DOWN, Role.FAULT)
        case NoiseKind.BETWEEN:
            return Dot(x, y, radius * 0.72, Role.FAULT)
        case NoiseKind.VEIL:
            return Dot(x, y, radius * 0.78, Role.FAULT, filled=False)
    return Rule(x - radius * 0.55, y, x + radius * 0.55, y, Role.PAST, 2.0)


def level_width(height: float) -> float:
    """The room that the strokes of the hardest level take, `height` tall."""
    return height * ((len(HardnessLevel) - 1) * (STROKE_SHARE + STROKE_GAP_SHARE) - STROKE_GAP_SHARE)


def level_marks(level: HardnessLevel, x: float, y: float, height: float) -> Iterator[Mark]:
    """Upright strokes from x on, `height` tall about y: none for what is easy, three for what is very hard."""
    width, step = round(height * STROKE_SHARE), height * (STROKE_SHARE + STROKE_GAP_SHARE)
    for rank in range(level - 1):
        middle = x + rank * step + width / 2
        yield Rule(middle, y - height / 2, middle, y + height / 2, Role.INK, width)


def key_above(
    footer: Rect, measure: Measure, meanings: Sequence[str] = MEANINGS, aside: str = ""
) -> tuple[list[Mark], float]:
    """What a crossing noise is, in words, and what the shapes mean, above the keys; and where all that begins.

    meanings: wordings from the fullest on, of which the first that takes the fewest lines is told. aside: a word that
    belongs to the shapes, told where there is room.
    """
    line = measure.height(Style.TEXT)
    words = min((wrapped(text, Style.TEXT, footer.width, measure) for text in meanings), key=len, default=[])
    top = footer.y - line * (len(words) + 1.45)
    marks: list[Mark] = [*_key(Rect(footer.x, top, footer.width, line), aside, measure)]
    for rank, text in enumerate(words):
        marks.append(Label(footer.x, top + line * (rank + 1.7), text, Style.TEXT, Role.QUIET))
    return marks, top


def _key(area: Rect, aside: str, measure: Measure) -> Iterator[Mark]:
    """One line: each shape and its meaning, then the strokes; in short words where the line is narrow."""
    full, short = [*(words for _, words in KEY_KINDS), KEY_LEVEL], [*KEY_SHORT, KEY_LEVEL_SHORT]
    wordings = [(full, aside), (short, aside), (full, "")]
    fits = (each for each in wordings if _key_width(*each, measure) <= area.width)
    words, aside = next(fits, (short, ""))
    line, radius = area.height, area.height * KEY_RADIUS_SHARE
    x, y = area.x, area.y + line / 2
    for (kind, _), text in zip(KEY_KINDS, words, strict=False):
        yield noise_mark(kind, x + radius, y, radius)
        x += 2 * radius + line * KEY_INNER_SHARE
        yield Label(x, y, text, Style.TEXT, Role.QUIET)
        x += measure.width(text, Style.TEXT) + line * KEY_GAP_SHARE
    yield from level_marks(HardnessLevel.VERY_HARD, x, y, line * STROKES_SHARE)
    x += level_width(line * STROKES_SHARE) + line * KEY_INNER_SHARE
    yield Label(x, y, words[-1], Style.TEXT, Role.QUIET)
    x += measure.width(words[-1], Style.TEXT) + line * KEY_GAP_SHARE
    if aside:
        yield Label(x, y, aside, Style.TEXT, Role.QUIET)


def _key_width(words: Sequence[str], aside: str, measure: Measure) -> float:
    line = measure.height(Style.TEXT)
    shapes = len(KEY_KINDS) * 2 * KEY_RADIUS_SHARE * line + level_width(line * STROKES_SHARE)
    gaps = len(words) * (KEY_INNER_SHARE + KEY_GAP_SHARE) * line
    return shapes + gaps + sum(measure.width(text, Style.TEXT) for text in (*words, aside))
