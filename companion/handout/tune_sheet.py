"""Makes the sheet of a tune: its plan, each different phrase once with what is new in it, and the whole of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from companion.handout.model import (
    HandoutStyle,
    PhraseBlock,
    PrintedPicture,
    StripCell,
    TuneExtent,
    TuneSheet,
    WholeLine,
)
from companion.handout.strip_svg import drawn
from companion.lesson.model.known import NOTHING_KNOWN, Skill
from companion.lesson.model.phrases import FoundPhrase, TunePlan
from companion.lesson.page.new_embellishments import NewEmbellishment, new_embellishment
from companion.lesson.phrases.plan import plan_of
from companion.lesson.steps.needs import needs_of, new_embellishments
from companion.listen.model.words import bars_words, beat_words
from companion.score.engrave.line_breaks import BarWidths, line_starts, well_filled
from companion.score.engrave.lines import WIDER, LineOnPaper, engrave_excerpts, engrave_lines
from companion.score.engrave.pages import bar_widths
from companion.score.engrave.paper import STAFF_SIZES, Paper
from companion.score.engrave.style import StaffStyle, TitlePlace
from companion.score.model import Bar, Tune

LETTER_COLUMN = 130
"""Tenths of a millimetre: the column in front of phrases in which their letters stand."""

_PHRASE_SIZES = (0.84, 0.76, 0.7)
_SHORT = 2  # parts
_LINE_HEIGHTS = (260, 220)
"""Tenths of a millimetre that a line of size 1.0 takes with generous room around it, and with little: to see how large
a tune can be on one page."""
_PAGE_SHARE = 0.85
"""How much of a page's height is left for it beside title and foot."""


def tune_sheet(tune: Tune, style: HandoutStyle) -> TuneSheet:
    """The sheet of a tune. Raises UserError where it cannot be engraved."""
    staff = replace(style.staff, title=TitlePlace.NONE)
    widths = bar_widths(tune, staff)
    taught = style.extent is TuneExtent.LESSON
    plan = plan_of(tune) if taught else None
    size = _phrase_size(plan, widths, style.paper) if plan else 1.0
    return TuneSheet(
        title=tune.title or "A tune",
        also=", ".join(field.text for field in tune.fields if field.key == "T"),
        kind=tune.rhythm,
        composer=tune.composer,
        tempo=_tempo(tune) if taught else "",
        plan=plan.line if plan else "",
        phrases=_phrases(tune, plan, staff, widths, size, style.paper) if plan else (),
        least_scale=STAFF_SIZES[-1] / size,
        short=_is_short(tune),
        whole=tuple(_whole(tune, staff, widths, style)),
    )


def _tempo(tune: Tune) -> str:
    tempo = tune.tempo
    return f"{tempo.beats_per_minute:g} {beat_words(tempo.beat)} a minute" if tempo else ""


def _whole(tune: Tune, staff: StaffStyle, widths: BarWidths, style: HandoutStyle) -> Iterator[WholeLine]:
    """Yield the lines of a tune, on the largest staff that suits the page."""
    size = _whole_size(tune, widths, style)
    parts = {part.first: f"part {part.label}, " for part in tune.parts}
    for line in engrave_lines(tune, staff, widths, style.paper.room, size):
        words = f"{tune.title}, {parts.get(line.bars.start, '')}{_bars(tune, line.bars)}"
        yield WholeLine(_picture(line, words), line.bars.start in parts)


def _whole_size(tune: Tune, widths: BarWidths, style: HandoutStyle) -> float:
    """The size of the staff: the largest with two phrases on each line.

    Where the tune has a page to itself, the largest with which it fits there, with equally many phrases on each line if
    that can be: from a music stand large notes are read more easily than few lines.
    """
    room = style.paper.room
    paired = next((size for size in STAFF_SIZES if well_filled(tune, widths, room / size)), None)
    if style.extent is TuneExtent.WHOLE:
        return paired or STAFF_SIZES[2]
    page = _PAGE_SHARE * (style.paper.height - 2 * style.paper.margin)
    lines = {size: line_starts(tune, widths, room / size) for size in STAFF_SIZES}
    for height in _LINE_HEIGHTS:
        fitting = [size for size, starts in lines.items() if len(starts) * size * height <= page]
        if fitting:
            return next((size for size in fitting if _is_even(tune, lines[size])), fitting[0])
    return STAFF_SIZES[-1] if _is_short(tune) or paired is None else paired


def _is_even(tune: Tune, starts: Sequence[int]) -> bool:
    """Whether in each part as many phrases stand on each line, or fewer on its last."""
    for part in tune.parts:
        ours = [start for start in starts if part.first <= start < part.stop]
        *others, last = (
            sum(first <= phrase.first < stop for phrase in part.phrases) for first, stop in pairwise([*ours, part.stop])
        )
        if others and (min(others) != max(others) or not 0 < last <= others[0]):
            return False
    return True


def _is_short(tune: Tune) -> bool:
    """Whether its hand-out is to have two pages, so that it lies on a stand or on the two sides of a sheet."""
    return len(tune.parts) <= _SHORT


def _phrase_size(plan: TunePlan, widths: BarWidths, paper: Paper) -> float:
    """The size of the staff of phrases: the largest with which each has a line to itself."""
    widest = max(widths.of(phrase.first, phrase.stop) for phrase in plan.phrases)
    room = paper.room - LETTER_COLUMN
    return next((size for size in _PHRASE_SIZES if widest * WIDER <= room / size), _PHRASE_SIZES[-1])


def _phrases(
    tune: Tune, plan: TunePlan, staff: StaffStyle, widths: BarWidths, size: float, paper: Paper
) -> tuple[PhraseBlock, ...]:
    """Each different phrase once, in the order in which they first come."""
    first: dict[str, FoundPhrase] = {}
    for phrase in plan.phrases:
        first.setdefault(phrase.name, phrase)
    room = paper.room - LETTER_COLUMN
    excerpts = [phrase.bars for phrase in first.values()]
    plain = replace(staff, tempo=False, phrase_marks=False)
    engraved = engrave_excerpts(_without_form(tune, excerpts), plain, widths, room, size, excerpts)
    new = _new_in(tune, plan)
    return tuple(
        PhraseBlock(
            name,
            tuple(_picture(line, f"phrase {name}, {_bars(tune, line.bars)}") for line in lines),
            tuple(strip_cell(new_embellishment(tune, skill)) for skill in new.get(name, ())),
        )
        for name, lines in zip(first, engraved, strict=True)
    )


def _new_in(tune: Tune, plan: TunePlan) -> Mapping[str, Sequence[Skill]]:
    """What is new in the phrases of a name: the embellishments that the tune asks for there first."""
    needs = needs_of(tune)
    found: dict[str, list[Skill]] = {}
    for skill in new_embellishments(needs, NOTHING_KNOWN):
        bar = tune.order[needs.schedule.played[needs.places[skill][0]].turn]
        name = next(phrase.name for phrase in plan.phrases if bar in phrase.bars)
        found.setdefault(name, []).append(skill)
    return found


def _without_form(tune: Tune, excerpts: Sequence[range]) -> Tune:
    """A tune whose parts have no letters and whose jumps are left out, and of whose repeats only those are left that
    begin and end in one of these stretches, or end an ending in it: what stands alone would be no music."""
    bars = list(tune.bars)
    for stretch in excerpts:
        signs = [bars[index].signs for index in stretch]
        both = any(each.opens for each in signs) and any(each.closes for each in signs)
        ended = any(each.ending for each in signs)
        for index in stretch:
            bars[index] = _without_signs(bars[index], opens=both, closes=both or ended)
    return replace(tune, bars=tuple(bars))


def _without_signs(bar: Bar, *, opens: bool, closes: bool) -> Bar:
    signs = bar.signs
    kept = signs._replace(label=None, jumps=(), opens=signs.opens if opens else 0, closes=signs.closes if closes else 0)
    return bar._replace(signs=kept)


def _bars(tune: Tune, bars: range) -> str:
    return bars_words([tune.bars[index].number for index in bars])


def _picture(line: LineOnPaper, alt: str) -> PrintedPicture:
    return PrintedPicture(line.svg, line.width, line.height, alt)


def strip_cell(new: NewEmbellishment, staff: PrintedPicture | None = None) -> StripCell:
    """What is shown of an embellishment."""
    strip = drawn(new.picture)
    picture = PrintedPicture(strip.svg, strip.width, strip.height, new.picture.label)
    return StripCell(new.name, new.spelling, new.how, picture, staff)
