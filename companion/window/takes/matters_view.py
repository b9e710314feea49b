"""The words above a take in review: the things to mend, the marked one large with its sentence and its buttons.

The chanter keeps half of the window. What is said of the marked one comes first; the others have what room is left:
large, else in a row each, else side by side, else their number alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from companion.listen.verdict.headlines import Headline
from companion.listen.verdict.verdict import FIRST
from companion.window.core.actions import Pick
from companion.window.core.display import Display
from companion.window.core.marks import Anchor, Label, Mark, Measure, Rect, Role, Style, Target
from companion.window.core.page import Page
from companion.window.core.wording import fitted, wrapped, wrapped_within
from companion.window.takes.buttons import ButtonBox, button_box, target_height
from companion.window.takes.take_keys import buttons
from companion.window.takes.take_lines import notice_beside
from companion.window.takes.take_state import Round, TakeState
from companion.window.takes.take_words import told_words
from companion.window.takes.verdict_view import NOTHING

LEAST_LINES = 2
"""Lines that the first sentence of what is said may take, however low the window is."""

MOST_LINES = 4
INDENT_LINES = 1.1
_GAP_LINES = 0.3
_FOOT_LINES = 0.3
_BETWEEN_LINES = 2.0


class Manner(Enum):
    """How the words stand: with space round the buttons, CLOSE to these, LOW or LOWER with a large line that is less
    large, or BARE of buttons: their keys do the same."""

    EASY = "easy"
    CLOSE = "close"
    LOW = "low"
    LOWER = "lower"
    BARE = "bare"


@dataclass(frozen=True, slots=True)
class Room:
    """What the words get: a height in pixels, which they may exceed by what is granted them in any case."""

    height: float
    manner: Manner = Manner.EASY


@dataclass(frozen=True, slots=True)
class Block:
    """The words at the top of the page, as tall as they need."""

    height: float
    marks: tuple[Mark, ...]
    targets: tuple[Target, ...]


@dataclass(frozen=True, slots=True)
class _Said:
    """What is said below a large line, in lines, the buttons below that, and the space below these."""

    lines: tuple[str, ...]
    style: Style
    role: Role
    box: ButtonBox
    foot: float
    height: float


def words_block(state: TakeState, display: Display, page: Page, room: Room, measure: Measure, now_s: float) -> Block:
    """The words for a take, from the top of the page."""
    if state.matter is None:
        return _without_matters(state, display, page, room, measure, now_s)
    indent = page.line * INDENT_LINES
    said = _said(state, display, page, room, measure, now_s, indent)
    ranks = _shown(state)
    top = _top_height(room, display, page, measure)
    left = room.height - top - said.height - page.line * _FOOT_LINES
    row = target_height(measure, display.print)
    others = len(ranks) - 1
    tall = next((height for height in (page.title_height, row) if others and others * height <= left), 0.0)
    beside = [rank for rank in ranks if rank != state.marked] if not tall and row <= left else []
    y = page.top
    marks: list[Mark] = []
    targets: list[Target] = []
    for rank in ranks:
        marked = rank == state.marked
        height = top if marked else tall
        if not height:
            continue
        headline = _headlines(state)[rank]
        rect = Rect(page.margin, y, page.inner, height)
        counted = f"{rank + 1} of {len(_headlines(state))}" if marked and others and not tall and not beside else ""
        style = _TOP_STYLES[room.manner] if marked else Style.LARGE if height == page.title_height else Style.STRONG
        marks += _row(rank, headline, rect, measure, style, ink=marked, counted=counted)
        targets.append(Target(rect, Pick(rank)))
        y += height
        if marked:
            more_marks, more_targets = _below(said, page.margin + indent, y, measure)
            marks += more_marks
            targets += more_targets
            y += said.height
    for place, rank in enumerate(beside):
        gap = page.line * _BETWEEN_LINES
        width = (page.inner + gap) / len(beside)
        rect = Rect(page.margin + place * width, y, width - gap, row)
        marks += _row(rank, _headlines(state)[rank], rect, measure, Style.STRONG, ink=False, counted="")
        targets.append(Target(rect, Pick(rank)))
    y += row if beside else 0.0
    y += page.line * _FOOT_LINES if beside or tall else 0.0
    return Block(y - page.top, tuple(marks), tuple(targets))


def _without_matters(
    state: TakeState, display: Display, page: Page, room: Room, measure: Measure, now_s: float
) -> Block:
    """Nothing is to be mended, or all that was found is shown alike: the large line is drawn by others but for that."""
    said = _said(state, display, page, room, measure, now_s, 0.0)
    marks, targets = _below(said, page.margin, page.top + page.title_height, measure)
    if faultless(state):
        marks.insert(0, Label(page.margin, page.title_y, NOTHING, Style.LARGE))
    return Block(page.title_height + said.height, tuple(marks), tuple(targets))


def faultless(state: TakeState) -> bool:
    """Whether the take was judged, and nothing is to be mended."""
    return bool(state.review and state.review.verdict and not state.review.findings and not state.review.matters)


_TOP_STYLES = {
    Manner.EASY: Style.LARGE,
    Manner.CLOSE: Style.LARGE,
    Manner.LOW: Style.MEDIUM,
    Manner.LOWER: Style.SECOND,
    Manner.BARE: Style.LARGE,
}


def _top_height(room: Room, display: Display, page: Page, measure: Measure) -> float:
    """How tall the line of the marked thing to mend is."""
    style = _TOP_STYLES[room.manner]
    least = target_height(measure, display.print)
    return page.title_height if style is Style.LARGE else max(least, measure.height(style))


def _headlines(state: TakeState) -> tuple[Headline, ...]:
    return state.review.headlines if state.review else ()


def _shown(state: TakeState) -> range:
    """The ranks of the three among which the marked one is; that alone while it is practised."""
    if state.round is Round.DRILL:
        return range(state.marked, state.marked + 1)
    first = state.marked // FIRST * FIRST
    return range(first, min(first + FIRST, len(_headlines(state))))


def _said(
    state: TakeState, display: Display, page: Page, room: Room, measure: Measure, now_s: float, indent: float
) -> _Said:
    line, width = page.line, page.inner - indent
    box = button_box(buttons(state) if room.manner is not Manner.BARE else (), width, measure, display.print)
    told, style, role = sentence(state, now_s, beside=notice_beside(state, page, measure))
    foot = line * _FOOT_LINES if room.manner is Manner.EASY else 0.0
    gaps = foot + line * _GAP_LINES if foot and box.height else foot
    most = int((room.height - _top_height(room, display, page, measure) - box.height - gaps) / line)
    lines = first_sentences(told, style, width, min(most, MOST_LINES), measure)
    matter = state.matter.text if state.matter and state.round is not Round.DRILL else ""
    kept = first_sentences(matter, Style.STRONG, width, min(most, MOST_LINES), measure)
    count = max(len(lines), len(kept))
    return _Said(tuple(lines), style, role, box, foot, count * line + box.height + gaps)


def first_sentences(text: str, style: Style, width: float, most: int, measure: Measure) -> list[str]:
    """As many of the first sentences of a text as fit in `most` lines; the very first one may take LEAST_LINES, and
    ends in an ellipsis only where it has no room in these."""
    sentences = text.replace(". ", ".\n").split("\n")
    for count in range(len(sentences), 0, -1):
        lines = wrapped(" ".join(sentences[:count]), style, width, measure)
        if len(lines) <= most:
            return lines
    return wrapped_within(sentences[0], style, width, max(most, LEAST_LINES), measure)


def sentence(state: TakeState, now_s: float, *, beside: bool = False) -> tuple[str, Style, Role]:
    """What is said: a notice, the drill that goes on, the place that is looked at, or the marked thing to mend.

    beside: whether a notice has room above the lanes; what is said of the take then stays.
    """
    if state.notice and not (beside and (state.matter is not None or faultless(state))):
        return state.notice, Style.TEXT, Role.INK
    if faultless(state) and state.review and state.review.verdict:
        return " ".join(state.review.verdict.went_well), Style.TEXT, Role.INK
    if state.matter is None:
        return told_words(state, now_s)
    if state.round is Round.DRILL:
        return state.matter.drill.text, Style.STRONG, Role.INK
    return (state.finding.text if state.finding else state.matter.text), Style.STRONG, Role.INK


def _below(said: _Said, x: float, y: float, measure: Measure) -> tuple[list[Mark], list[Target]]:
    line = measure.height(Style.TEXT)
    marks: list[Mark] = [
        Label(x, y + line * (0.42 + rank), words, said.style, said.role) for rank, words in enumerate(said.lines)
    ]
    top = y + said.height - said.box.height - said.foot
    more, targets = said.box.marks_and_targets(x, top, measure)
    return [*marks, *more], targets


def _row(
    rank: int, headline: Headline, rect: Rect, measure: Measure, style: Style, *, ink: bool, counted: str
) -> list[Mark]:
    """A thing to mend in one line: its number, what it is, and at the right where it was heard if there is room."""
    line = measure.height(Style.TEXT)
    x, y = rect.x + line * INDENT_LINES, rect.y + rect.height / 2
    role = Role.INK if ink else Role.QUIET
    room = rect.right - x
    ways = (headline.large, headline.what)
    words = next((each for each in ways if measure.width(each, style) <= room), fitted(ways[-1], style, room, measure))
    taken = measure.width(words, style) + line
    asides = (", ".join(filter(None, (headline.where, counted))), counted or headline.where)
    aside = next((each for each in asides if measure.width(each, Style.TEXT) <= room - taken), "")
    marks: list[Mark] = [
        Label(rect.x, y, f"{rank + 1}", Style.STRONG, Role.GUIDE if ink else Role.QUIET),
        Label(x, y, words, style, role),
    ]
    if aside:
        marks.append(Label(rect.right, y, aside, Style.TEXT, Role.QUIET, Anchor.RIGHT))
    return marks
