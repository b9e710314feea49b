"""The verdict as a picture: what to mend first and its drills, then what went well, as much as has room."""

from __future__ import annotations

from collections.abc import Sequence

from companion.listen.verdict import Matter, Verdict
from companion.window.actions import Pick
from companion.window.hints import Hint, hint_marks, hint_rows
from companion.window.layout import footer_row_height
from companion.window.marks import Label, Mark, Picture, Rect, Role, Style, Target, Wash
from companion.window.screen import Canvas
from companion.window.wording import wrapped

TITLE = "What to mend first"
NOTHING = "Nothing to mend"


def verdict_picture(verdict: Verdict, rank: int, hints: Sequence[Hint], canvas: Canvas) -> Picture:
    """The page; `rank` is the thing to mend that is marked."""
    measure = canvas.measure
    line = measure.height(Style.TEXT)
    margin = max(14.0, canvas.width * 0.026)
    width = canvas.width - 2 * margin
    foot = hint_rows(hints, width, measure) * footer_row_height(measure)
    footer = Rect(margin, round(canvas.height - foot - margin * 0.4), width, foot)
    marks, targets = hint_marks(hints, footer, measure)
    title = TITLE if verdict.matters else NOTHING
    marks.append(Label(margin, margin * 0.35 + measure.height(Style.LARGE) * 0.46, title, Style.LARGE))
    y = margin * 0.35 + measure.height(Style.LARGE) + line * 0.4
    bottom = footer.y - line * 0.6
    marks.append(Label(margin, y, counts(verdict), Style.TEXT, Role.QUIET))
    y += line * 1.2
    for place, matter in enumerate(verdict.first):
        y = _matter(matter, place, place == rank, Rect(margin, y, width, bottom - y), canvas, marks, targets)
    _well(verdict, Rect(margin, y + line * 0.4, width, bottom - y - line * 0.4), canvas, marks)
    return Picture(canvas.width, canvas.height, tuple(marks), (), tuple(targets))


def counts(verdict: Verdict) -> str:
    """The shares with their counts, and the tempo: never a bare score."""
    words = [
        f"notes {verdict.notes.right} of {verdict.notes.of}",
        f"gracenotes {verdict.gracenotes.right} of {verdict.gracenotes.of}",
        f"clean movements {verdict.movements.right} of {verdict.movements.of}",
    ]
    if verdict.pace:
        words.append(f"{verdict.pace.qpm:.0f} crotchets a minute")
    return ", ".join(words)


def _matter(
    matter: Matter, place: int, marked: bool, area: Rect, canvas: Canvas, marks: list[Mark], targets: list[Target]
) -> float:
    """One thing to mend and its drill; the y below it. What has no room is left out whole."""
    line = canvas.measure.height(Style.TEXT)
    inner = area.width - 2.4 * line
    times = f" ({matter.count} times)" if matter.count > 1 else ""
    words = wrapped(matter.findings[0].text + times, Style.STRONG, inner, canvas.measure)
    drill = wrapped(matter.drill.text, Style.TEXT, inner, canvas.measure)
    height = (len(words) + len(drill)) * line + line * 0.7
    if height > area.height:
        return area.y
    rect = Rect(area.x, area.y, area.width, height)
    targets.append(Target(rect, Pick(place)))
    if marked:
        marks.append(Wash(rect, Role.WASH, 6.0))
    y = area.y + line * 0.85
    marks.append(Label(area.x + line * 0.4, y, f"{place + 1}", Style.STRONG, Role.GUIDE))
    for text, style, role in (
        *((w, Style.STRONG, Role.INK) for w in words),
        *((d, Style.TEXT, Role.QUIET) for d in drill),
    ):
        marks.append(Label(area.x + 1.6 * line, y, text, style, role))
        y += line
    return area.y + height + line * 0.3


def _well(verdict: Verdict, area: Rect, canvas: Canvas, marks: list[Mark]) -> None:
    """What went well, as many lines as have room below a heading."""
    line = canvas.measure.height(Style.TEXT)
    lines = [
        part
        for each in verdict.went_well
        for part in wrapped(each, Style.TEXT, area.width - 1.6 * line, canvas.measure)
    ]
    room = int(area.height // line) - 1
    if room < 1:
        return
    marks.append(Label(area.x, area.y + line * 0.5, "What went well", Style.STRONG))
    for rank, text in enumerate(lines[:room]):
        marks.append(Label(area.x + 1.6 * line, area.y + line * (1.5 + rank), text, Style.TEXT))
