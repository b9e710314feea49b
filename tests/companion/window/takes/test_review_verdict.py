"""From a take in review to its verdict, and from there to a drill."""

from __future__ import annotations

import pytest

from companion.window.core.actions import Action, Pick
from companion.window.core.display import Print
from companion.window.core.screen import ScreenResult
from companion.window.crossing.crossing_screen import CrossingScreen
from companion.window.crossing.crossing_state import Version
from companion.window.takes.take_screen import TakeScreen
from companion.window.takes.take_state import SoundedSide
from companion.window.takes.verdict_screen import VerdictScreen
from tests.companion.window import scenes
from tests.companion.window.takes.reviewing import canvas, words_of


def test_the_verdict_names_three_things_and_their_drills(screen: TakeScreen) -> None:
    """Never a bare score: shares with their counts, what to mend, how, and what went well."""
    verdict = screen.act(Action.VERDICT)
    assert isinstance(verdict, VerdictScreen)
    assert screen.state.review is not None
    assert screen.state.review.verdict is not None
    words = words_of(verdict.picture(canvas((1920, 1080))))
    for matter in screen.state.review.verdict.first:
        assert matter.text in words
    assert "Melody notes" in words
    assert " of " in words
    assert "What went well" in words


def test_a_drill_opens_from_the_verdict(screen: TakeScreen) -> None:
    """A crossing opens its own screen, played clean; anything else goes round the notes as asked. Both are slowed."""
    assert screen.state.review is not None
    assert screen.state.review.verdict is not None
    matters = screen.state.review.verdict.matters
    verdict = screen.act(Action.VERDICT)
    assert isinstance(verdict, VerdictScreen)
    crossing = next(i for i, matter in enumerate(matters) if matter.findings[0].crossing)
    other = next(i for i, matter in enumerate(matters) if not matter.findings[0].crossing)
    opened = screen._drill(crossing)
    assert isinstance(opened, CrossingScreen)
    assert opened.state.version is Version.TAUGHT
    assert opened.state.slow_down == matters[crossing].drill.slow_down
    opened.close()
    assert verdict.act(Pick(other)) is ScreenResult.CLOSE
    assert screen.state.sounding is SoundedSide.ASKED
    assert screen.state.loop is not None
    assert screen.state.slow_down == matters[other].drill.slow_down
    assert screen.state.finding == matters[other].findings[0]


@pytest.mark.parametrize("size", scenes.SIZES)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
def test_no_words_overlap_or_leave_the_window(screen: TakeScreen, size: tuple[int, int], print_size: Print) -> None:
    """On the take at a finding, and on the verdict."""
    shown = canvas(size, print_size)
    screen.look_at(5)
    verdict = screen.act(Action.VERDICT)
    assert isinstance(verdict, VerdictScreen)
    for picture in (screen.picture(shown), verdict.picture(shown)):
        rects = scenes.assert_apart(picture, shown.measure)
        for label, rect in rects:
            assert 0 <= rect.y < rect.bottom <= size[1], label.text
