"""What the header says: the note that sounds, the embellishment in hand, what comes next, the place in the tune."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

import pytest

from companion.schedule.events import Event, EventKind
from companion.schedule.spans import whereabouts
from companion.schedule.timing import Timing
from companion.window.core.display import Display, Print
from companion.window.core.layout import NO_LINES, Layout, Lines, lay_out
from companion.window.core.marks import Arch, Label, Mark, Rect, Role, Rule, Style
from companion.window.core.page import Page
from companion.window.core.wording import bar_words
from companion.window.lanes.brief_marks import EAR_LINES
from companion.window.lanes.header import (
    HEADER_LINES,
    LEAST_READ_S,
    asked_words,
    beside_note,
    header_marks,
    next_words,
    place_marks,
    place_words,
)
from companion.window.paint.lettering import Lettering
from companion.window.play.play_state import PlayState
from fingering.embellishments.catalogue import catalogue
from fingering.notes import Note
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for

SIZES = ((640, 480), (800, 600), (1280, 720), (1920, 1080), (3840, 2160))
QUARTER, FULL = scenes.state(Timing(slow_down=4.0)), scenes.state(Timing())


def placed(
    size: tuple[int, int] = (1280, 720), print_size: Print = Print.NORMAL, ear: Lines = NO_LINES
) -> tuple[Layout, Lettering]:
    """The layout and the lettering of a window of that size, with two rows of keys."""
    lettering = lettering_for(size, Display(print=print_size))
    return lay_out(Page.of(*size, lettering), 2, print_size, HEADER_LINES, ear_lines=ear), lettering


def events_of(state: PlayState, name: str) -> Iterator[tuple[int, Event]]:
    """The events of the first embellishment of that name, gracenotes and melody note."""
    schedule = state.schedule
    played = next(i for i, each in enumerate(schedule.embellishments) if each and each.name == name)
    return ((i, event) for i, event in enumerate(schedule.events) if event.played == played)


def said(state: PlayState, index: int, least_s: float = LEAST_READ_S) -> list[Mark]:
    """The header's marks for one event, in a window of 1280x720."""
    layout, measure = placed()
    return header_marks(state.schedule, index, layout, measure, least_s)


def biggest(marks: list[Mark]) -> Label:
    """The word in the largest type."""
    order = list(Style)
    return min((mark for mark in marks if isinstance(mark, Label)), key=lambda mark: order.index(mark.style))


def underlined(marks: list[Mark]) -> str:
    """The gracenote, or melody note, that is marked among those that are spelled."""
    (line,) = (mark for mark in marks if isinstance(mark, Rule))
    middle = (line.x0 + line.x1) / 2
    return next(m.text for m in marks if isinstance(m, Label) and abs(m.x - middle) < 1.0 and m.y < line.y0 < m.y + 40)


def test_the_biggest_word_is_the_note_that_sounds() -> None:
    """In a taorluath at quarter speed low G, D, low G, E, and then low A; the same is marked where it is spelled."""
    words = [biggest(said(QUARTER, index)).text for index, _ in events_of(QUARTER, "taorluath")]
    assert words == ["low G", "D", "low G", "E", "low A"]
    assert [underlined(said(QUARTER, index)) for index, _ in events_of(QUARTER, "taorluath")] == words


def test_a_gracenote_is_told_from_a_melody_note_by_its_size_and_an_arch() -> None:
    """The arch is the lanes' sign for a gracenote, as wide as the word; no colour is needed."""
    for index, event in events_of(QUARTER, "taorluath"):
        marks = said(QUARTER, index)
        arches = [mark for mark in marks if isinstance(mark, Arch)]
        grace = event.kind is EventKind.GRACENOTE
        assert len(arches) == grace
        assert biggest(marks).style is (Style.LARGE if grace else Style.HUGE)
        assert biggest(marks).role is Role.INK


def test_at_full_speed_nothing_flickers() -> None:
    """Gracenotes too short to be read leave the melody note that they lead onto, and the marks, where they are."""
    for name in ("taorluath", "C doubling", "crunluath"):
        first, *others = (said(FULL, index) for index, _ in events_of(FULL, name))
        assert all(marks == first for marks in others)
    index, _ = next(events_of(FULL, "taorluath"))
    assert (biggest(said(FULL, index)).text, underlined(said(FULL, index))) == ("low A", "low A")


def test_where_time_stands_every_gracenote_is_named() -> None:
    """At full speed too: a learner goes through them one by one."""
    words = [biggest(said(FULL, index, least_s=0.0)).text for index, _ in events_of(FULL, "taorluath")]
    assert words == ["low G", "D", "low G", "E", "low A"]


@pytest.mark.parametrize("slow_down", [1.0, 1.5, 2.0, 3.0, 4.0, 8.0, 32.0])
def test_no_big_word_of_a_gracenote_is_shown_for_less_than_can_be_read(slow_down: float) -> None:
    """At every slow-down; of one embellishment all gracenotes are named or none."""
    state = scenes.state(Timing(slow_down=slow_down))
    named: dict[int, set[bool]] = {}
    for index, event in enumerate(state.schedule.events):
        if event.kind is EventKind.GRACENOTE:
            shown = any(isinstance(mark, Arch) for mark in said(state, index))
            named.setdefault(event.played, set()).add(shown)
            assert not shown or event.end_s - event.start_s >= LEAST_READ_S - 1e-6
    assert all(len(each) == 1 for each in named.values())


@pytest.mark.parametrize("print_size", Print)
@pytest.mark.parametrize("size", SIZES, ids=str)
def test_words_keep_their_places_while_an_embellishment_runs(size: tuple[int, int], print_size: Print) -> None:
    """Beside the biggest word, which begins at the same place, all words stay: only the mark moves."""
    layout, measure = placed(size, print_size)
    for name in ("taorluath", "C doubling", "crunluath"):
        seen = set()
        for index, _ in events_of(QUARTER, name):
            labels = [m for m in header_marks(QUARTER.schedule, index, layout, measure) if isinstance(m, Label)]
            large = biggest(list(labels))
            assert large.x == layout.header.x
            assert large.x + measure.width(large.text, large.style) < beside_note(layout, measure)
            seen.add(tuple((m.x, m.y, m.text) for m in labels if m is not large))
        assert len(seen) == 1


def test_the_words_beside_the_note_begin_at_the_same_place_for_all_nine_notes() -> None:
    """Where the widest of their names ends, and a little more."""
    layout, measure = placed()
    widths = [measure.width(note.label, Style.HUGE) for note in Note]
    assert beside_note(layout, measure) > layout.header.x + max(widths)


@pytest.mark.parametrize("print_size", Print)
@pytest.mark.parametrize("ear", [NO_LINES, EAR_LINES], ids=["alone", "with the ear"])
@pytest.mark.parametrize("size", SIZES, ids=str)
def test_every_embellishment_of_the_catalogue_has_room(size: tuple[int, int], print_size: Print, ear: Lines) -> None:
    """Its name and all its gracenotes, whole, between the widest note and the margin, above the ear's words."""
    layout, measure = placed(size, print_size, ear)
    schedule = QUARTER.schedule
    index, event = next(events_of(QUARTER, "taorluath"))
    place = place_marks(QUARTER.tune.title, whereabouts(QUARTER.tune, schedule, event.start_s), layout, measure)
    for embellishment in {entry.embellishment for entry in catalogue()}:
        others = list(schedule.embellishments)
        others[event.played] = embellishment
        marks = header_marks(replace(schedule, embellishments=tuple(others)), index, layout, measure)
        labels = [*place, *(mark for mark in marks if isinstance(mark, Label))]
        assert asked_words(embellishment.onto, embellishment) in [label.text for label in labels]
        rects = [(label.text, scenes.label_rect(label, measure)) for label in labels]
        for rank, (words, rect) in enumerate(rects):
            assert layout.header.x <= rect.x, words
            assert rect.right <= layout.header.right + 1.0, words
            assert layout.header.y <= rect.y, words
            assert rect.bottom <= layout.ear.y, words
            assert not [other for other, room in rects[:rank] if scenes.meet(rect, room)], words


@pytest.mark.parametrize("print_size", Print)
@pytest.mark.parametrize("size", SIZES, ids=str)
def test_the_letters_of_the_biggest_word_stay_in_the_header(size: tuple[int, int], print_size: Print) -> None:
    """And the arch above a gracenote. A serif letter reaches 0.54 of its line upwards and 0.17 downwards from where it
    stands, 0.254 below the middle (Source Serif Pro, its metrics)."""
    layout, measure = placed(size, print_size, EAR_LINES)
    for index, _ in events_of(QUARTER, "taorluath"):
        marks = header_marks(QUARTER.schedule, index, layout, measure)
        large = biggest(marks)
        height = measure.height(large.style)
        room = Rect(0.0, layout.header.y, float(size[0]), layout.ear.y - layout.header.y)
        assert room.y <= large.y + (0.254 - 0.54) * height
        assert large.y + (0.254 + 0.17) * height <= room.bottom
        assert all(mark.y - mark.height >= 0.0 for mark in marks if isinstance(mark, Arch))


def test_an_embellishment_is_named_with_the_note_that_it_leads_onto() -> None:
    """Once: "taorluath on low A", but "C doubling" and "throw on D"."""
    words = {asked_words(each.onto, each) for each in FULL.schedule.embellishments if each}
    assert {"taorluath on low A", "C doubling", "G gracenote on C", "crunluath on E"} <= words


def test_what_comes_next_is_named_with_its_embellishment_or_without() -> None:
    """The shorter where the longer has no room."""
    schedule = FULL.schedule
    before = next(i for i, each in enumerate(schedule.embellishments) if each and each.name == "taorluath") - 1
    assert next_words(schedule, before) == ("next: taorluath on low A", "next: low A")
    assert next_words(schedule, len(schedule.played) - 1) == ("then the end", "then the end")


def test_the_notes_before_the_first_whole_bar_are_the_pick_up() -> None:
    """They are no bar 0."""
    assert bar_words(0) == "pick-up to bar 1"
    assert bar_words(3) == "bar 3"
    first_s = FULL.schedule.events[0].start_s
    full, *_, shortest = place_words(whereabouts(FULL.tune, FULL.schedule, first_s))
    assert full == "part 1, phrase 1 of 2, pick-up to bar 1"
    assert shortest == "pick-up to bar 1"


@pytest.mark.parametrize("print_size", Print)
@pytest.mark.parametrize("size", SIZES, ids=str)
def test_the_place_in_the_tune_stays_beside_the_widest_note(size: tuple[int, int], print_size: Print) -> None:
    """At the right of the topmost row, with a title as long as you like."""
    layout, measure = placed(size, print_size)
    here = whereabouts(FULL.tune, FULL.schedule, FULL.schedule.events[0].start_s)
    for title in ("", "Nets", "The long and winding title of a tune that was made for a wedding " * 3):
        labels = place_marks(title, here, layout, measure)
        rects = [scenes.label_rect(label, measure) for label in labels]
        assert all(beside_note(layout, measure) <= rect.x and rect.right <= layout.header.right for rect in rects)
        assert not any(scenes.meet(one, other) for one, other in pairwise(rects))
