"""Draws the header: the large line with note and embellishment, what comes next, and the place in the tune."""

from __future__ import annotations

from collections.abc import Iterator

from companion.schedule.events import Event, EventKind, Schedule
from companion.schedule.spans import Whereabouts
from companion.score.model import Tune
from companion.window.core.layout import Layout
from companion.window.core.marks import Anchor, Label, Mark, Measure, Role, Rule, Style
from fingering.embellishments import Embellishment


def header_marks(
    schedule: Schedule, event_index: int, layout: Layout, room_right: float, measure: Measure
) -> list[Mark]:
    """The left part of the header for one event; its large line ends before `room_right`."""
    event = schedule.events[event_index]
    melody = schedule.played[event.played].note.note
    embellishment = schedule.embellishments[event.played]
    y = layout.page.title_y
    note = melody.label if melody is not None else "rest"
    x = layout.header.x
    marks: list[Mark] = list(_large_line(note, embellishment, x, y, room_right - x, measure))
    below = layout.page.below_title()
    if embellishment is not None:
        marks += _sequence(embellishment, event, x, below, measure)
        x += _sequence_width(embellishment, measure) + _gap(measure)
    marks.append(Label(x, below, next_words(schedule, event.played), Style.TEXT, Role.QUIET))
    return marks


def _large_line(
    note: str, embellishment: Embellishment | None, x: float, y: float, room: float, measure: Measure
) -> Iterator[Label]:
    """Yield the note with its embellishment around or beside it: "C doubling", "throw on D", "low A taorluath"."""
    left = x
    for words, role in _large_words(note, embellishment):
        width = measure.width(words, Style.LARGE)
        if width > room:
            low = y + measure.height(Style.LARGE) * 0.16
            yield Label(x + (_gap(measure) if x > left else 0.0), low, words.strip(), Style.STRONG, role)
            return
        yield Label(x, y, words, Style.LARGE, role)
        x, room = x + width, room - width


def _large_words(note: str, embellishment: Embellishment | None) -> list[tuple[str, Role]]:
    if embellishment is None:
        return [(note, Role.INK)]
    before, found, after = f" {embellishment.name} ".partition(f" {note} ")
    if not found:
        return [(note, Role.INK), (f" {embellishment.name}", Role.QUIET)]
    return [
        (words, role)
        for words, role in ((before[1:] + " ", Role.QUIET), (note, Role.INK), (" " + after[:-1], Role.QUIET))
        if words.strip()
    ]


def next_words(schedule: Schedule, played: int) -> str:
    """The words for what comes after a played note."""
    if played + 1 >= len(schedule.played):
        return "the end"
    note = schedule.played[played + 1].note.note
    embellishment = schedule.embellishments[played + 1]
    if note is None:
        return "next: a rest"
    return f"next: {note.label}, {embellishment.name}" if embellishment else f"next: {note.label}"


def _sequence(embellishment: Embellishment, event: Event, x: float, y: float, measure: Measure) -> list[Mark]:
    """The gracenotes one by one and the note that they lead onto, the one that sounds underlined."""
    names = [*(note.label for note in embellishment.gracenotes), embellishment.onto.label]
    current = event.grace if event.kind is EventKind.GRACENOTE else len(names) - 1
    marks: list[Mark] = []
    for rank, name in enumerate(names):
        style, role = (Style.STRONG, Role.INK) if rank == current else (Style.TEXT, Role.QUIET)
        width = measure.width(name, Style.STRONG)
        marks.append(Label(x + width / 2, y, name, style, role, Anchor.CENTRE))
        if rank == current:
            under = y + measure.height(Style.TEXT) * 0.46
            marks.append(Rule(x, under, x + width, under, Role.GUIDE, 3.0))
        x += width + _gap(measure)
    return marks


def _gap(measure: Measure) -> float:
    return measure.height(Style.TEXT) * 0.55


def _sequence_width(embellishment: Embellishment, measure: Measure) -> float:
    names = (note.label for note in (*embellishment.gracenotes, embellishment.onto))
    return sum(measure.width(name, Style.STRONG) + _gap(measure) for name in names)


def place_marks(tune: Tune, here: Whereabouts, layout: Layout) -> list[Label]:
    """The right part of the header: the tune's title and the place in it."""
    right, page = layout.header.right, layout.page
    return [
        Label(right, page.beside_title(), tune.title, Style.STRONG, Role.INK, Anchor.RIGHT),
        Label(right, page.beside_title(1), place_words(here), Style.TEXT, Role.QUIET, Anchor.RIGHT),
    ]


def place_words(here: Whereabouts) -> str:
    """The place in the tune, in words: "part 1, phrase 2 of 4, answering, bar 3"."""
    words = []
    if here.part is not None:
        words.append(f"part {here.part.label}")
        if here.phrase_rank is not None and len(here.part.phrases) > 1:
            role = "answering" if here.phrase_rank % 2 else "asking"
            words += [f"phrase {here.phrase_rank + 1} of {len(here.part.phrases)}", role]
    words.append(f"bar {here.bar_number}")
    return ", ".join(words)
