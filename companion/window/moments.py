"""Four short moments over the moving picture, for whoever opens it for the first time: what it means, what to do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import Enum

from companion.window.core.marks import Arch, Frame, Label, Mark, Picture, Rect, Role, Stripe, Style, Wash
from companion.window.core.screen import Canvas
from companion.window.core.wording import wrapped

LASTS_S = 7.0
"""Each stays for so long: at 130 words a minute, a slow reader's, the longest takes 6 s; common practice, no source."""

MOST_SHARE = 0.58  # of the window's width
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
    FirstMoment("Press → to go on by one finger movement, ← to go back, and look."),
    FirstMoment("Your turn: P finds your electronic chanter, I makes this computer's keys one."),
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
    """The picture with one of the moments over it, above its keys."""
    above = picture.foot.top if picture.foot else canvas.page.footer(1).y
    return replace(picture, moving=(*picture.moving, *moment_marks(rank, canvas, above)))


def moment_marks(rank: int, canvas: Canvas, above: float) -> Iterator[Mark]:
    """Yield a plate at the right that ends above a y, with what is said and how far it is."""
    page, measure = canvas.page, canvas.measure
    moment, line, pad = MOMENTS[rank], page.line, page.line * 0.8
    width = min(page.inner, canvas.width * MOST_SHARE)
    lines = wrapped(moment.said, Style.STRONG, width - 2 * pad, measure)
    below = wrapped(f"{rank + 1} of {len(MOMENTS)}: {HOW_TO}", Style.TEXT, width - 2 * pad, measure)
    rows = _sample_rows(moment.samples, width - 2 * pad, canvas)
    height = 2 * pad + line * (len(lines) + len(below) + 1.35 * len(rows))
    top = above - line * 0.4 - height
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
