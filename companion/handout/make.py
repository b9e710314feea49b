"""Makes hand-outs of tunes and of embellishments."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction

from companion.handout.model import Handout, HandoutStyle, PrintedPicture, StripCell
from companion.handout.strip_svg import hands
from companion.handout.tune_sheet import strip_cell, tune_sheet
from companion.lesson.page.new_embellishments import told_of
from companion.lesson.page.strips import StripPicture
from companion.score.engrave.lines import engrave_lines
from companion.score.engrave.pages import bar_widths
from companion.score.engrave.style import TitlePlace
from companion.score.exercise import exercise_of
from companion.score.model import FREE, Tune
from fingering.embellishments import Embellishment, recognise
from fingering.notes import Note

_STAFF_SIZE = 0.92
_HANDS = "Lanes from above: the thumb, the upper hand's three fingers, the lower hand's four."


def tunes_handout(
    tunes: Sequence[Tune], style: HandoutStyle, title: str, made_one: Callable[[], object] = lambda: None
) -> Handout:
    """The hand-out of some tunes; of several a book with a table of contents, which has the title.

    made_one: called after each tune. Raises UserError where one cannot be engraved.
    """
    sheets = []
    for tune in tunes:
        sheets.append(tune_sheet(tune, style))
        made_one()
    several = len(sheets) > 1
    authors = dict.fromkeys(sheet.composer for sheet in sheets if sheet.composer)
    return Handout(
        title=title if several else sheets[0].title,
        authors=tuple(authors),
        tunes=tuple(sheets),
        hands=_hands(),
        contents=several,
    )


def embellishments_handout(played: Sequence[tuple[Embellishment, Note]], style: HandoutStyle) -> Handout:
    """A page of embellishments, each as it comes out of a note: on a staff, in words, as a strip. Raises UserError."""
    cells = tuple(_cell(embellishment, before, style) for embellishment, before in played)
    title = cells[0].name if len(cells) == 1 else "Embellishments"
    return Handout(title[:1].upper() + title[1:], (), embellishments=cells, hands=_hands())


def _cell(embellishment: Embellishment, before: Note, style: HandoutStyle) -> StripCell:
    """An embellishment; its staff has the note before and the note that it leads onto, without a metre."""
    exercise = exercise_of(embellishment, before)
    (bar,) = exercise.bars
    short = bar._replace(notes=bar.notes[:2], length=Fraction(1, 2), meter=FREE, tempo=None)
    once = replace(exercise, bars=(short,), meter=FREE, tempo=None)
    staff = replace(style.staff, title=TitlePlace.NONE, phrase_marks=False)
    widths = bar_widths(once, staff)
    room = round(widths.of(0, 1) * _STAFF_SIZE) + 1
    (line,) = engrave_lines(once, staff, widths, room, _STAFF_SIZE)
    alt = f"{before.label}, then {embellishment.onto.label} with the gracenotes {embellishment.spelling}"
    return strip_cell(told_of(embellishment, before), PrintedPicture(line.svg, line.width, line.height, alt))


def _hands() -> PrintedPicture:
    """What stands in front of every strip: all have their lanes in the same places."""
    drawn = hands(_any_strip())
    return PrintedPicture(drawn.svg, drawn.width, drawn.height, _HANDS)


def _any_strip() -> StripPicture:
    return told_of(recognise((Note.HIGH_G,), onto=Note.LOW_A, before=Note.B), Note.B).picture
