"""What is told while a tune runs is large enough to be read from a music stand or the back of a hall."""

from __future__ import annotations

import pytest

from companion.listen.verdict.brief import Brief
from companion.schedule.timing import Timing
from companion.window.core.display import Display, Print
from companion.window.core.marks import Label, Role, Style
from companion.window.core.theme import THEMES, Theme
from companion.window.lanes.played_in import Light, PlayedIn
from companion.window.lanes.told import Told
from companion.window.live.telling import ANOTHER_TUNE
from companion.window.paint.lettering import TIMES_TEXT
from companion.window.play.play_state import first_state
from companion.window.play.play_view import PlayView
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for

LEAST_SHARE = 1.0 / 20.0
"""Of the window's height, the height of a capital: twice what signs for a hall ask for, 1 in 40 or so (from memory)."""

CAPITAL = 0.66
"""The height of a capital of the large type, as a share of its size (Source Serif: 670 of 1000, its OS/2 table)."""

BRIEFS = (
    Brief("bar 3", "C for B"),
    Brief("pick-up", "high A for high G"),
    Brief("bar 12", "high A for G gracenote"),
    Brief("bar 128", "high G for high A"),
    Brief("bar 128", "extra high A gracenote"),
    Brief("bar 128", "high A gracenote long", 12),
    Brief("bar 128", "no crunluath", 12),
    Brief("bar 128", "lower middle early", 12),
    Brief("bar 128", "some notes skipped"),
    ANOTHER_TUNE,
)


def told(brief: Brief, size: tuple[int, int], display: Display) -> list[Label]:
    """The labels of what is told, in a picture in which no words meet."""
    measure = lettering_for(size, display)
    state, listening = first_state((scenes.tune(),), scenes.tune(), Timing()), PlayedIn(light=Light.ARRIVING)
    picture = PlayView(measure).picture(state, display, 3.0, *size, listening, Told(brief=brief))
    rects = scenes.assert_apart(picture, measure)
    for label, rect in rects:
        if label.role is Role.FAULT:
            assert rect.x >= 0.0
            assert rect.right <= size[0]
    return [label for label, _ in rects if label.role is Role.FAULT]


def heard_in(brief: Brief) -> list[str]:
    """What stands before it: a bar that was, since the tune has gone on."""
    place = "the pick-up" if brief.place == "pick-up" else brief.place
    return [f"heard in {place}:"] if place else []


@pytest.mark.parametrize("brief", BRIEFS, ids=lambda brief: brief.text)
@pytest.mark.parametrize("size", scenes.SIZES)
@pytest.mark.parametrize("print_size", Print)
def test_what_was_heard_is_told_whole_in_large_type(brief: Brief, size: tuple[int, int], print_size: Print) -> None:
    """With how often, and before it in small type in which bar it was; smaller than the note that sounds now."""
    display = Display(print=print_size)
    labels = told(brief, size, display)
    assert [label.text for label in labels] == [*heard_in(brief), brief.how_often]
    assert labels[-1].style in (Style.LARGE, Style.MEDIUM, Style.SECOND)
    assert TIMES_TEXT[labels[-1].style] < TIMES_TEXT[Style.HUGE]


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize("size", scenes.SIZES)
@pytest.mark.parametrize("print_size", Print)
def test_its_capitals_are_a_twentieth_of_the_window(size: tuple[int, int], print_size: Print, theme: Theme) -> None:
    """In both themes and prints; a note and its bar fit in one line."""
    display = Display(print=print_size, theme=theme)
    label = told(BRIEFS[0], size, display)[-1]
    lettering = lettering_for(size, display)
    assert label.text == "C for B"
    assert lettering.size * TIMES_TEXT[label.style] * CAPITAL >= LEAST_SHARE * size[1]
