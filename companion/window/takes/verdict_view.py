"""The verdict as a picture: what to mend first and its drills, what went well, what was not judged, and all the rest.

Where there is little room only the first things, or only the one that is marked, tell their drills; what does not fit
comes on further pages. The page of what is marked is shown, and what the others hold is named.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from companion.listen.rhythm.pace import pace_words
from companion.listen.verdict.shares import named_shares
from companion.listen.verdict.verdict import FIRST, Verdict
from companion.window.core.actions import Action, Pick
from companion.window.core.caps import CAPS
from companion.window.core.hints import Hint, footer_of, hint_marks
from companion.window.core.marks import Anchor, Label, Mark, Measure, Picture, Rect, Role, Style, Target, Wash
from companion.window.core.screen import Canvas
from companion.window.core.wording import capital, wrapped, wrapped_within
from companion.window.takes.buttons import LEAST_PX, Button, button_box

TITLE = "What to mend first"
NOTHING = "Nothing to mend"
WENT_WELL = "What went well"
NOT_JUDGED = "Not judged"
MY_SETTING = "that is my setting"
AFTER_THAT = "After that"
INDENT_LINES = 2.1  # so that a number of two digits does not touch its sentence
_CHOSEN_LINES, _NUMBER_LINES = 0.15, 0.65  # where the sign of the marked one, and the numbers, begin
_RIGHT_LINES = 0.5  # of the band on which the marked one lies
GAP_LINES = 0.3
_PAD_LINES = 0.6
_ABOVE_BUTTON_LINES = 0.5
_HEADING_LINES = 1.3
_ELSEWHERE_LINES = 1.3  # for the line that names what does not fit


SETTING_BUTTON = Button(CAPS[Action.OWN_SETTING], MY_SETTING, MY_SETTING, Action.OWN_SETTING)


@dataclass(frozen=True, slots=True)
class Stop:
    """What can be marked: a thing to mend and its drill, or the sentences of one of the other sections.

    heading: the section's name where it begins with this, else "". matter: the thing's rank in the verdict.
    button: the words of the button with which what is asked can be answered, "" for none.
    """

    sentences: tuple[str, ...]
    drill: str = ""
    heading: str = ""
    matter: int | None = None
    button: str = ""


def stops_of(verdict: Verdict) -> tuple[Stop, ...]:
    """All that a verdict says, in the order in which it is read."""
    matters = [
        Stop(
            (matter.text,),
            matter.drill.text,
            AFTER_THAT if rank == FIRST else "",
            rank,
            MY_SETTING if matter.setting else "",
        )
        for rank, matter in enumerate(verdict.matters)
    ]
    sections = ((WENT_WELL, verdict.went_well), (NOT_JUDGED, verdict.not_judged))
    others = [Stop(tuple(sentences), heading=heading) for heading, sentences in sections if sentences]
    return *matters[:FIRST], *others, *matters[FIRST:]


def verdict_picture(verdict: Verdict, marked: int, hints: Sequence[Hint], canvas: Canvas) -> Picture:
    """The page on which the stop of rank `marked` stands."""
    measure = canvas.measure
    page = canvas.page
    line = page.line
    footer = footer_of(hints, page, measure).on_pixels
    marks, targets = hint_marks(hints, footer, measure)
    title = TITLE if verdict.matters else NOTHING
    marks.append(Label(page.margin, page.title_y, title, Style.LARGE))
    y = page.body_top + line * 0.4
    for words in wrapped(counts(verdict), Style.TEXT, page.inner, measure):
        marks.append(Label(page.margin, y, words, Style.TEXT, Role.QUIET))
        y += line
    area = Rect(page.margin, y + line * 0.2, page.inner, footer.y - line * 0.4 - y)
    _add_page(stops_of(verdict), marked, area, canvas, marks, targets)
    return Picture(canvas.width, canvas.height, tuple(marks), (), tuple(targets))


def counts(verdict: Verdict) -> str:
    """The shares with their counts, and the tempo: never a bare score."""
    words = [f"{name} {share.right} of {share.of}" for name, share in named_shares(verdict) if share.of]
    if verdict.pace:
        words.append(pace_words(verdict.pace))
    return capital(", ".join(words).lower())


@dataclass(frozen=True, slots=True)
class _Block:
    """A stop in lines."""

    rank: int
    stop: Stop
    said: tuple[str, ...]
    drill: tuple[str, ...]
    button_lines: float = 0.0
    least_lines: float = 0.0

    @property
    def body_lines(self) -> float:
        """Its height in lines without its heading: with half of the gap at either side it is a target large enough."""
        return max(self.least_lines - GAP_LINES, len(self.said) + len(self.drill) + _PAD_LINES + self.button_lines)

    @property
    def lines(self) -> float:
        """Its height in lines, heading and the gap below included."""
        return (_HEADING_LINES if self.stop.heading else 0.0) + self.body_lines + GAP_LINES


def _add_page(
    stops: Sequence[Stop], marked: int, area: Rect, canvas: Canvas, marks: list[Mark], targets: list[Target]
) -> None:
    measure = canvas.measure
    line = measure.height(Style.TEXT)
    room = area.height / line
    width = area.width - (INDENT_LINES + _RIGHT_LINES) * line
    answer = button_box((SETTING_BUTTON,), width, measure, canvas.display.print)
    answer_lines = answer.height / line + _ABOVE_BUTTON_LINES
    least = LEAST_PX[canvas.display.print] / line
    blocks = [
        replace(_block(rank, stop, width, room, measure, answer_lines), least_lines=least)
        for rank, stop in enumerate(stops)
    ]
    if sum(block.lines for block in blocks) > room:
        room -= _ELSEWHERE_LINES
        told = FIRST if sum(block.lines for block in blocks[:FIRST]) <= room else 0
        brief = [each if each.rank < told else replace(each, drill=()) for each in blocks]
        # Room is left for the longest drill on each page, so that pages stay the same whichever row is marked.
        pages = _pages(brief, room - max((len(each.drill) for each in blocks[told:]), default=0))
    else:
        pages = [blocks] if blocks else []
    shown = next((number for number, page in enumerate(pages) if page[-1].rank >= marked), 0)
    y = area.y
    for each in pages[shown] if pages else ():
        block = blocks[each.rank] if each.rank == marked else each
        if block.stop.heading:
            marks.append(Label(area.x, y + line * 0.6, block.stop.heading, Style.STRONG))
            y += _HEADING_LINES * line
        rect = Rect(area.x, y, area.width, block.body_lines * line)
        if block.stop.button:
            ground = Role.GROUND if block.rank == marked else Role.WASH
            below = rect.bottom - (answer_lines - _ABOVE_BUTTON_LINES / 2) * line
            more, buttons = answer.marks_and_targets(area.x + INDENT_LINES * line, below, measure, ground)
            targets += buttons
        gap = GAP_LINES * line
        targets.append(Target(Rect(rect.x, rect.y - gap / 2, rect.width, rect.height + gap), Pick(block.rank)))
        marks += _block_marks(block, rect, line, marked=block.rank == marked)
        marks += more if block.stop.button else ()
        y = rect.bottom + GAP_LINES * line
    if len(pages) > 1:
        words = elsewhere(pages[:shown], pages[shown + 1 :])
        marks.append(Label(area.x, area.bottom - line * 0.5, words, Style.TEXT, Role.GUIDE))
        number = f"page {shown + 1} of {len(pages)}"
        marks.append(Label(area.right, area.bottom - line * 0.5, number, Style.TEXT, Role.QUIET, Anchor.RIGHT))


def _block(rank: int, stop: Stop, width: float, room: float, measure: Measure, answer_lines: float) -> _Block:
    """What would be taller than a page, in the smallest of windows, ends in an ellipsis."""
    style = Style.TEXT if stop.matter is None else Style.STRONG
    button_lines = answer_lines if stop.button else 0.0
    most = max(1, int(room - _HEADING_LINES - _PAD_LINES - GAP_LINES - 1.0 - button_lines))
    said = [part for each in stop.sentences for part in wrapped(each, style, width, measure)]
    if len(said) > most:
        said[most - 1 :] = wrapped_within(" ".join(said[most - 1 :]), style, width, 1, measure)
    drill = wrapped_within(stop.drill, Style.TEXT, width, most - len(said), measure) if most > len(said) else []
    return _Block(rank, stop, tuple(said), tuple(drill), button_lines)


def _pages(blocks: Sequence[_Block], room: float) -> list[list[_Block]]:
    """Blocks in order, as many on a page as have room."""
    pages: list[list[_Block]] = []
    taken = room
    for block in blocks:
        if taken + block.lines > room + GAP_LINES or not pages:
            pages.append([])
            taken = 0.0
        pages[-1].append(block)
        taken += block.lines
    return pages


def elsewhere(above: Sequence[Sequence[_Block]], below: Sequence[Sequence[_Block]]) -> str:
    """What stands on the other pages: "below: 2 more to mend, what went well"."""
    sides = (("above", above), ("below", below))
    return "; ".join(f"{side}: {', '.join(_contents(pages))}" for side, pages in sides if pages)


def _contents(pages: Sequence[Sequence[_Block]]) -> Iterator[str]:
    stops = [block.stop for page in pages for block in page]
    matters = sum(stop.matter is not None for stop in stops)
    if matters:
        yield f"{matters} to mend"
    yield from (stop.heading.lower() for stop in stops if stop.matter is None)


def _block_marks(block: _Block, rect: Rect, line: float, *, marked: bool) -> Iterator[Mark]:
    if marked:
        yield Wash(rect, Role.WASH, 6.0)
        yield Label(rect.x + line * _CHOSEN_LINES, rect.y + line * 0.8, "›", Style.STRONG, Role.GUIDE)
    y = rect.y + line * 0.8
    matter = block.stop.matter
    if matter is not None:
        yield Label(rect.x + line * _NUMBER_LINES, y, f"{matter + 1}", Style.STRONG, Role.GUIDE)
    for words in block.said:
        yield Label(rect.x + INDENT_LINES * line, y, words, Style.TEXT if matter is None else Style.STRONG)
        y += line
    for words in block.drill:
        yield Label(rect.x + INDENT_LINES * line, y, words, Style.TEXT, Role.QUIET)
        y += line
