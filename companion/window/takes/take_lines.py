"""The lines above and below the lanes of a take: where it stands, what the marks in the lanes are, the whole take."""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Set
from dataclasses import dataclass
from enum import Enum

from companion.listen.model.findings import Finding, FindingKind
from companion.window.core.layout import NOW_SHARE, Layout
from companion.window.core.marks import Anchor, Dot, Frame, Label, Mark, Measure, Rect, Role, Rule, Style
from companion.window.core.page import Page
from companion.window.core.wording import fitted
from companion.window.lanes.finding_marks import CHOSEN_STROKE
from companion.window.lanes.played_marks import broken_line, strip_y
from companion.window.takes.take_state import SoundedSide, TakeState
from companion.window.takes.take_words import (
    clock_words,
    fingers_words,
    legend,
    reviewed,
    sounding_words,
    strip_title,
    unsure_words,
)

PLAYED = "what you played"
ASKED = "what is asked"
OVERVIEW_LINES = 1.0
"""The room that the whole take as a line needs above the keys."""

_SAMPLE_LINES = 1.1  # how wide a sample of a mark is, and the gaps beside it:
_GAP_LINES = 0.4
_BETWEEN_LINES = 0.9
_BESIDE_CHANTER_LINES = 1.2


class LegendMark(Enum):
    """A mark of the lanes, as the legend shows it; NONE stands before words that are about no mark."""

    NONE = "none"
    ASKED = "asked"
    FRAME = "frame"
    BROKEN = "broken"
    PLAYED = "played"


@dataclass(frozen=True, slots=True)
class LegendEntry:
    """A mark of the lanes, and what it is in words."""

    sample: LegendMark
    words: str


def strip_room(page: Page) -> float:
    """The width of the words on the right of the chanter."""
    return page.width * (1.0 - NOW_SHARE) - page.line * _BESIDE_CHANTER_LINES - page.margin


def notice_beside(state: TakeState, page: Page, measure: Measure) -> bool:
    """Whether a notice stands above the lanes: where it has room there, what is said of the take stays.

    Not where that line tells in which setting of the learner's own the take was judged.
    """
    own = state.review is not None and bool(state.review.own)
    return bool(state.notice) and not own and measure.width(state.notice, Style.TEXT) <= strip_room(page)


def strip_marks(
    state: TakeState, now_s: float, layout: Layout, measure: Measure, *, titled: bool, notice: str = ""
) -> Iterator[Mark]:
    """Yield the line of words.

    titled: whether the take is named here, and the note that sounds; else both stand at the top. notice: what is told
    in place of what the marks are; "" for nothing.
    """
    yield from _where(state, now_s, layout, measure, titled=titled)
    right, y = layout.width - layout.margin, strip_y(layout)
    if notice:
        yield Label(right, y, notice, Style.TEXT, Role.INK, Anchor.RIGHT)
        return
    ways = entries(state, titled=titled)
    room = strip_room(layout.page)
    chosen = next((way for way in ways if _width(way, layout, measure) <= room), ways[-1][:1])
    x = right - _width(chosen, layout, measure)
    for entry in chosen:
        if entry.sample is not LegendMark.NONE:
            yield from _sample(entry.sample, x, y, layout)
            x += layout.line * (_SAMPLE_LINES + _GAP_LINES)
        words = fitted(entry.words, Style.TEXT, right - x + 1.0, measure)
        yield Label(x, y, words, Style.TEXT, Role.QUIET)
        x += measure.width(words, Style.TEXT) + layout.line * _BETWEEN_LINES


def entries(state: TakeState, *, titled: bool) -> list[tuple[LegendEntry, ...]]:
    """What the line says of the take and of the marks in sight, the fullest way first, the shortest last."""
    title = (LegendEntry(LegendMark.NONE, strip_title(state)),) if titled else ()
    unsure = (LegendEntry(LegendMark.BROKEN, unsure_words(state)),) if unsure_words(state) else ()
    if state.asked is None or state.sounding is SoundedSide.ASKED:
        told = (LegendEntry(LegendMark.NONE, legend(state)),) if legend(state) else ()
        broken = unsure if state.sounding is SoundedSide.TAKE else ()
        return [(*title, *broken, *told), (*broken, *told), told or title, ()]
    asked = (LegendEntry(LegendMark.ASKED, ASKED),)
    played: tuple[LegendEntry, ...] = (LegendEntry(LegendMark.PLAYED, PLAYED),)
    longer = (LegendEntry(LegendMark.PLAYED, f"{PLAYED}, {fingers_words(state)}"),) if fingers_words(state) else played
    played, longer = (*played, *unsure), (*longer, *unsure)
    framed = _framed(state)
    frame = (LegendEntry(LegendMark.FRAME, framed),) if framed else ()
    return [
        (*title, *asked, *frame, *longer),
        (*title, *asked, *frame, *played),
        (*title, *frame, *played),
        (*asked, *frame, *played),
        (*frame, *played),
        played,
    ]


def _framed(state: TakeState) -> str:
    """What a frame round a finger means; "" where none is framed."""
    lit = [state.review.findings[rank] for rank in state.lit] if state.review else []
    framed = [each for each in ([state.finding] if state.finding else lit) if each.fingers]
    late = {_is_late(each) for each in framed}
    if not framed:
        return ""
    if late == {True}:
        return "finger that was late"
    return "finger that was early" if late == {False} else "finger to look at"


def _is_late(finding: Finding) -> bool | None:
    """Whether the finger of a crossing was late, or early; None for anything else."""
    if finding.kind is not FindingKind.CROSSING or finding.crossing is None:
        return None
    return finding.crossing.finger_ms > 0.0


def _width(way: Sequence[LegendEntry], layout: Layout, measure: Measure) -> float:
    samples = sum(each.sample is not LegendMark.NONE for each in way) * (_SAMPLE_LINES + _GAP_LINES)
    gaps = max(0, len(way) - 1) * _BETWEEN_LINES
    return layout.line * (samples + gaps) + sum(measure.width(each.words, Style.TEXT) for each in way)


def _sample(sample: LegendMark, x: float, y: float, layout: Layout) -> Iterator[Mark]:
    wide, line = layout.line * _SAMPLE_LINES, layout.line
    if sample is LegendMark.FRAME:
        yield Frame(Rect(x, y - line * 0.3, wide, line * 0.6), Role.FAULT, line * 0.1, line * 0.2)
    elif sample is LegendMark.BROKEN:
        yield from broken_line(x, x + wide, y, 5.0)
    elif sample is LegendMark.ASKED:
        yield Rule(x, y, x + wide, y, Role.INK, line * 0.3)
    else:
        yield Rule(x, y, x + wide, y, Role.PLAYED, 3.0)


def _where(state: TakeState, now_s: float, layout: Layout, measure: Measure, *, titled: bool) -> Iterator[Mark]:
    """Yield, on the left, the note that sounds, the place and the time, as much as has room."""
    y, x = strip_y(layout), layout.margin
    room = layout.now_x - layout.tube - layout.margin
    if titled:
        note = sounding_words(state, now_s) or "silence"
        yield Label(x, y, note, Style.STRONG)
        taken = measure.width(note, Style.STRONG) + layout.line * 0.6
        x, room = x + taken, room - taken
    clock = "" if state.sounding is SoundedSide.ASKED else clock_words(state, now_s)
    ways = (", ".join(filter(None, (reviewed(state), clock))), reviewed(state) or clock)
    left = next((each for each in ways if measure.width(each, Style.TEXT) <= room), ways[-1])
    yield Label(x, y, fitted(left, Style.TEXT, room, measure), Style.TEXT, Role.QUIET)


def overview_marks(state: TakeState, now_s: float, layout: Layout) -> Iterator[Mark]:
    """The whole take as a line: a stroke for each finding that is lit, the one looked at taller, a thin quiet one for
    each that is not, a dot where the take stands."""
    if state.review is None or not state.review.findings:
        return
    y = layout.footer.y - layout.line * OVERVIEW_LINES * 0.6
    length_s = max(state.take.end_s - state.begin_s, 1e-6)

    def x_of(at_s: float) -> float:
        share = min(max((at_s - state.begin_s) / length_s, 0.0), 1.0)
        return layout.margin + share * (layout.width - 2 * layout.margin)

    yield Rule(layout.margin, y, layout.width - layout.margin, y, Role.HAIR, 2.0)
    lit = set(state.lit)
    for rank, finding in sorted(enumerate(state.review.findings), key=lambda each: each[0] in lit):
        tall, role, width = _strokes(rank, lit, state.chosen)
        x, half = x_of(finding.at_s), layout.line * tall
        yield Rule(x, y - half, x, y + half, role, layout.line * width)
    if state.sounding is SoundedSide.TAKE:
        yield Dot(x_of(now_s), y, layout.line * 0.16, Role.INK)


def _strokes(rank: int, lit: Set[int], chosen: int | None) -> tuple[float, Role, float]:
    """Half the height of a finding's stroke, its colour, and how wide it is; in lines."""
    if rank not in lit:
        return 0.14, Role.PAST, CHOSEN_STROKE / 2
    return (0.44 if rank == chosen else 0.3), Role.FAULT, CHOSEN_STROKE
