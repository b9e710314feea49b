"""Four short moments over the moving picture, for whoever opens it for the first time: what it means, what to do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import Enum

from companion.window.core.marks import (
    Arch,
    ChanterBody,
    Engraved,
    Frame,
    HoleMark,
    Label,
    Mark,
    Picture,
    Rect,
    Role,
    Stripe,
    Style,
    Wash,
)
from companion.window.core.screen import Canvas
from companion.window.core.wording import wrapped
from fingering.notes import Note

LASTS_S = 7.0
"""Each stays for so long: at 130 words a minute, a slow reader's, the longest takes 6 s; common practice, no source."""

BESIDE_NOTE_LINES = 0.6  # between the widest name of a note, which stands largest at the left, and the plate
_PAD_LINES = 0.6
_ABOVE_HOLE = 2.0  # radii of a hole: a finger on it reaches so far above its lane
SAMPLE_LINES = 2.2  # the width of a sample of bar, gap and arch, in lines of text


class Sample(Enum):
    """What is drawn in the lanes, and the word for it."""

    BAR = "hole closed"
    GAP = "hole open"
    ARCH = "gracenote"


@dataclass(frozen=True, slots=True)
class FirstMoment:
    """What is said in one of the four, and samples of what the lanes show, drawn below its words."""

    said: str
    samples: tuple[Sample, ...] = ()


MOMENTS = (
    FirstMoment("Each line is one finger, and time flows into the chanter.", tuple(Sample)),
    FirstMoment("Too fast? Press – as often as you need: slow is how it is learnt."),
    FirstMoment("Press → to go on by one finger movement, and look."),
    FirstMoment("Your turn: press P and choose what you play on."),
)
HOW_TO = "any key skips these; ? shows them again"


class Moments:
    """Shows them one after the other, from `began_s` on the clock that the window uses, in seconds."""

    def __init__(self, began_s: float) -> None:
        self._began_s = began_s

    def rank(self, now_s: float) -> int | None:
        """Which one is shown, 0 the first; None once all have been."""
        rank = int(max(0.0, now_s - self._began_s) / LASTS_S)
        return rank if rank < len(MOMENTS) else None


def with_moment(picture: Picture, rank: int, canvas: Canvas) -> Picture:
    """The picture with one of the moments over its words at the top: of the lanes and the keys, of which they speak,
    nothing is hidden that need not be; a staff is seen whole where it can be."""
    lanes = (mark.y - mark.radius * _ABOVE_HOLE for mark in picture.marks if isinstance(mark, HoleMark))
    lanes_begin = min(lanes, default=float(canvas.height))
    chanter = next((mark.top for mark in picture.marks if isinstance(mark, ChanterBody)), 0.0)
    staff = next((mark.y for mark in picture.still if isinstance(mark, Engraved)), chanter)
    marks: tuple[Mark, ...] = ()
    for words_end in (staff, chanter):
        marks = tuple(moment_marks(rank, canvas, lanes_begin, words_end))
        if all(mark.rect.bottom <= words_end for mark in marks if isinstance(mark, Wash)):
            break
    return replace(picture, moving=(*picture.moving, *marks))


def moment_marks(rank: int, canvas: Canvas, above: float, words_end: float = 0.0) -> Iterator[Mark]:
    """Yield a plate beside the note that sounds, with what is said and how far it is: it ends above a y, and is as wide
    as the page where it cannot otherwise. words_end: the y down to which it lies over all words, so that none is cut.
    """
    page, measure = canvas.page, canvas.measure
    moment, line, pad = MOMENTS[rank], page.line, page.line * _PAD_LINES
    top = page.top * 0.5
    note = max(measure.width(each.label, Style.HUGE) for each in Note) + line * BESIDE_NOTE_LINES
    for width in (page.inner - note, page.inner):
        lines = wrapped(moment.said, Style.STRONG, width - 2 * pad, measure)
        below = wrapped(f"{rank + 1} of {len(MOMENTS)}: {HOW_TO}", Style.TEXT, width - 2 * pad, measure)
        rows = _sample_rows(moment.samples, width - 2 * pad, canvas)
        height = max(2 * pad + line * (len(lines) + len(below) + 1.35 * len(rows)), words_end - top)
        if top + height <= above:
            break
    plate = Rect(canvas.width - page.margin - width, top, width, height)
    yield Wash(plate, Role.GROUND, 10.0)
    yield Frame(plate, Role.GUIDE, 2.0, 10.0)
    x, y = plate.x + pad, plate.y + pad + line * 0.5
    for text in lines:
        yield Label(x, y, text, Style.STRONG)
        y += line
    for row in rows:
        y += line * 0.2
        yield from _samples(row, x, y, canvas)
        y += line * 1.15
    for text in below:
        yield Label(x, y, text, Style.TEXT, Role.QUIET)
        y += line


def _sample_width(sample: Sample, canvas: Canvas) -> float:
    line = canvas.page.line
    return line * (SAMPLE_LINES + 0.4) + canvas.measure.width(sample.value, Style.TEXT) + line * 1.2


def _sample_rows(samples: tuple[Sample, ...], width: float, canvas: Canvas) -> list[list[Sample]]:
    """The samples in rows of at most that width."""
    rows: list[list[Sample]] = []
    taken = width
    for sample in samples:
        needed = _sample_width(sample, canvas)
        if taken + needed > width:
            rows.append([])
            taken = 0.0
        rows[-1].append(sample)
        taken += needed
    return rows


def _samples(row: list[Sample], x: float, y: float, canvas: Canvas) -> Iterator[Mark]:
    """Yield the row's samples, drawn as the lanes draw them, each with its word behind."""
    line = canvas.page.line
    for sample in row:
        end, thick = x + line * SAMPLE_LINES, line * 0.3
        gap = line * 0.55
        match sample:
            case Sample.BAR:
                yield Stripe(x, end, y, thick, Role.INK)
            case Sample.GAP:
                yield Stripe(x, x + gap, y, thick, Role.INK)
                yield Stripe(end - gap, end, y, thick, Role.INK)
            case Sample.ARCH:
                middle = (x + end) / 2
                yield Stripe(x, middle - gap / 2, y, thick, Role.INK)
                yield Arch(middle - gap / 2, middle + gap / 2, y, line * 0.35, Role.INK)
                yield Stripe(middle + gap / 2, end, y, thick, Role.INK)
        yield Label(end + line * 0.4, y, sample.value, Style.TEXT)
        x += _sample_width(sample, canvas)
