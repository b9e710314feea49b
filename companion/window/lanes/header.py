"""Draws the header: the note that sounds, the embellishment in hand, what comes next, and the place in the tune."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

from companion.schedule.events import EventKind, Schedule
from companion.schedule.spans import Whereabouts
from companion.window.core.layout import Layout, Lines
from companion.window.core.marks import Anchor, Arch, Label, Mark, Measure, Role, Rule, Style
from companion.window.core.wording import bar_words, fitted
from fingering.embellishments import Embellishment
from fingering.notes import Note

LEAST_READ_S = 0.12
"""A gracenote that sounds for a shorter time is not named: while it is played, the melody note that it leads onto is.

A word takes about a tenth of a second to be seen (from memory), and at full speed a gracenote lasts 40 ms: its name
would be a flicker that nobody reads. WCAG 2.2, 2.3.1, allows three flashes a second; a taorluath would be ten.
"""

HEADER_LINES = Lines(1.0, 0.1)
"""Below the room of a large line; with the least of it the gracenotes are spelled in small type."""

_PLACE_LINES = 0.6  # the y of each row in lines from the top of the header
_IN_HAND_LINES = 1.72
_SPELLED_LINES = 3.25
_SPELLED_SMALL_LINES = 2.9
_SPELLED_ROOM_LINES = 4.2  # so many lines must the header have for gracenotes spelled in larger type
_CLOSEST = 0.4  # of the usual gap between gracenotes
_SERIF_BELOW = 0.254  # the line that letters stand on is so far below the middle of their height
_SERIF_OPTICAL = 0.069  # and the middle of the letters themselves is so far below it
_LETTERS = 0.54  # how tall the tallest letters are, as a share of the height of their line


def header_marks(
    schedule: Schedule, event_index: int, layout: Layout, measure: Measure, least_s: float = LEAST_READ_S
) -> list[Mark]:
    """The words for one event, all but the place in the tune.

    least_s: gracenotes are named one by one where all of an embellishment's last so long; 0 where time stands.
    """
    event = schedule.events[event_index]
    embellishment = schedule.embellishments[event.played]
    read = read_gracenote(schedule, event_index, least_s)
    marks: list[Mark] = list(sounding_marks(schedule, event_index, read, layout, measure))
    left = beside_note(layout, measure)
    taken = left
    if embellishment is not None:
        marks.append(_in_hand(embellishment, left, layout, measure))
        names = [*(note.label for note in embellishment.gracenotes), embellishment.onto.label]
        spelled = spelled_marks(names, len(names) - 1 if read is None else read, left, layout, measure)
        marks += spelled
        taken = max(mark.x + measure.width(mark.text, mark.style) / 2 for mark in spelled if isinstance(mark, Label))
    marks += _next(schedule, event.played, taken + _gap(measure) * 2, layout, measure)
    return marks


def read_gracenote(schedule: Schedule, event_index: int, least_s: float) -> int | None:
    """The rank of the gracenote that sounds in an event, where it lasts long enough to be named; else None."""
    grace = schedule.events[event_index].grace
    return grace if grace is not None and _can_be_read(schedule, event_index, least_s) else None


def sounding_marks(
    schedule: Schedule, event_index: int, read: int | None, layout: Layout, measure: Measure
) -> Iterator[Mark]:
    """Yield the note that sounds, the largest word of all. read: of `read_gracenote`."""
    event = schedule.events[event_index]
    if read is not None:
        yield from _gracenote(event.note, layout, measure)
        return
    melody = schedule.played[event.played].note.note
    note = melody.label if melody is not None and event.kind is not EventKind.REST else "rest"
    role = Role.QUIET if melody is None else Role.INK
    yield Label(layout.header.x, _note_y(layout, measure), note, Style.HUGE, role)


@lru_cache(maxsize=8)
def beside_note(layout: Layout, measure: Measure) -> float:
    """The x at which the words beside the note that sounds begin: the same for all nine notes, so that none jumps."""
    return layout.header.x + max(measure.width(note.label, Style.HUGE) for note in Note) + layout.line * 0.9


def _can_be_read(schedule: Schedule, event_index: int, least_s: float) -> bool:
    """Whether each gracenote of the group of an event lasts long enough to be named: all of them are, or none."""
    first = event_index - (schedule.events[event_index].grace or 0)
    played = schedule.events[event_index].played
    while first < len(schedule.events) and (each := schedule.events[first]).grace is not None and each.played == played:
        if each.end_s - each.start_s < least_s - 1e-6:
            return False
        first += 1
    return True


def _note_y(layout: Layout, measure: Measure) -> float:
    """The y of the note that sounds: its letters, not its line, stand in the middle of the header."""
    middle = (layout.header.y + layout.ear.y) / 2
    return middle - measure.height(Style.HUGE) * _SERIF_OPTICAL


def _gracenote(note: Note, layout: Layout, measure: Measure) -> Iterator[Mark]:
    """Yield a gracenote that sounds: smaller than a melody note, on the same line, beneath an arch as in the lanes."""
    x, height = layout.header.x, measure.height(Style.LARGE)
    stands = _note_y(layout, measure) + measure.height(Style.HUGE) * _SERIF_BELOW
    yield Label(x, stands - height * _SERIF_BELOW, note.label, Style.LARGE)
    top = stands - height * _LETTERS - layout.line * 0.1
    yield Arch(x, x + measure.width(note.label, Style.LARGE), top, layout.line * 0.5, Role.INK)


def asked_words(note: Note | None, embellishment: Embellishment | None) -> str:
    """A note with its embellishment as pipers say it: "C", "C doubling", "throw on D", "taorluath on low A"."""
    label = note.label if note is not None else "a rest"
    if embellishment is None:
        return label
    named = f" {label} " in f" {embellishment.name} "
    return embellishment.name if named else f"{embellishment.name} on {label}"


def _in_hand(embellishment: Embellishment, x: float, layout: Layout, measure: Measure) -> Label:
    words = asked_words(embellishment.onto, embellishment)
    room = layout.header.right - x
    style = Style.SECOND if measure.width(words, Style.SECOND) <= room else Style.STRONG
    y = layout.header.y + layout.line * _IN_HAND_LINES
    return Label(x, y, fitted(words, style, room, measure), style)


def next_words(schedule: Schedule, played: int) -> tuple[str, str]:
    """The words for what comes after a played note: with its embellishment, and without."""
    if played + 1 >= len(schedule.played):
        return "then the end", "then the end"
    note = schedule.played[played + 1].note.note
    embellishment = schedule.embellishments[played + 1]
    return f"next: {asked_words(note, embellishment)}", f"next: {asked_words(note, None)}"


def _next(schedule: Schedule, played: int, left: float, layout: Layout, measure: Measure) -> Iterator[Label]:
    """Yield what comes next at the right end of the row of gracenotes, as much of it as has room."""
    right = layout.header.right
    for words in next_words(schedule, played):
        if measure.width(words, Style.TEXT) <= right - left:
            yield Label(right, _spelled_y(layout), words, Style.TEXT, Role.QUIET, Anchor.RIGHT)
            return


def _tall(layout: Layout) -> bool:
    return layout.ear.y - layout.header.y >= layout.line * _SPELLED_ROOM_LINES


def _spelled_y(layout: Layout) -> float:
    return layout.header.y + layout.line * (_SPELLED_LINES if _tall(layout) else _SPELLED_SMALL_LINES)


def spelled_marks(names: Sequence[str], current: int, x: float, layout: Layout, measure: Measure) -> list[Mark]:
    """Gracenotes one by one and the note that they lead onto, by their names, the `current` one underlined.

    Each has a column of its own width, so that nothing moves but the line. They stand closer where they must, and the
    first of a group longer than any that has a name give way.
    """
    room = layout.header.right - x
    large = _tall(layout) and _spread(names, Style.SECOND, room, measure) >= _gap(measure)
    plain, strong = (Style.SECOND, Style.SECOND) if large else (Style.TEXT, Style.STRONG)
    hidden = 0
    while _spread(names[hidden:], strong, room, measure) < _gap(measure) * _CLOSEST:
        hidden += 1
    gap = min(_gap(measure), _spread(names[hidden:], strong, room, measure))
    y = _spelled_y(layout)
    marks: list[Mark] = []
    for rank, name in enumerate(names[hidden:], hidden):
        style, role = (strong, Role.INK) if rank == current else (plain, Role.QUIET)
        width = measure.width(name, strong)
        marks.append(Label(x + width / 2, y, name, style, role, Anchor.CENTRE))
        if rank == current:
            under = y + measure.height(plain) * 0.46
            marks.append(Rule(x, under, x + width, under, Role.GUIDE, max(3.0, layout.line * 0.13)))
        x += width + gap
    return marks


def _spread(names: Sequence[str], style: Style, room: float, measure: Measure) -> float:
    """The gap at which names stand that fill the room; less than nothing where they are too many."""
    return (room - sum(measure.width(name, style) for name in names)) / max(1, len(names) - 1)


def _gap(measure: Measure) -> float:
    return measure.height(Style.TEXT) * 0.7


def place_marks(title: str, here: Whereabouts, layout: Layout, measure: Measure, speed: str = "") -> list[Label]:
    """The title and before it the place in the tune, at the right of the topmost row; what has no room is left out.

    speed: how much it is slowed down, in words; "" for not at all.
    """
    right, y = layout.header.right, layout.header.y + layout.line * _PLACE_LINES
    room = right - beside_note(layout, measure)
    title = fitted(title, Style.STRONG, room * 0.6, measure)
    marks = [Label(right, y, title, Style.STRONG, Role.INK, Anchor.RIGHT)] if title.strip() else []
    taken = measure.width(title, Style.STRONG) + layout.line if marks else 0.0
    for words in place_words(here, speed):
        if measure.width(words, Style.TEXT) <= room - taken:
            return [*marks, Label(right - taken, y, words, Style.TEXT, Role.QUIET, Anchor.RIGHT)]
    return marks


def place_words(here: Whereabouts, speed: str = "") -> list[str]:
    """The place in the tune, in words: "half speed, part 1, phrase 2 of 4, bar 3", and shorter forms of it."""
    part = [f"part {here.part.label}"] if here.part is not None else []
    phrase = []
    if here.part is not None and here.phrase_rank is not None and len(here.part.phrases) > 1:
        phrase = [f"phrase {here.phrase_rank + 1} of {len(here.part.phrases)}"]
    bar = [bar_words(here.bar_number)]
    slow = [speed] if speed else []
    forms = ([*slow, *part, *phrase, *bar], [*slow, *part, *bar], [*slow, *bar], bar)
    return [", ".join(words) for words in forms]
