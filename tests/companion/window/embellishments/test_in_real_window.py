"""An embellishment reached by real keys in a real window under Xvfb."""

from __future__ import annotations

import pytest

from tests.companion.window.desk import Desk, Still

pytestmark = pytest.mark.same_everywhere

AT_START = "1.1"
"""The first note of the first bar, where the exercise begins."""


def test_three_actions_by_real_keys_open_a_taorluath(desk: Desk, still: Still) -> None:
    """The list, its name, Enter; once it is paused at its start, the screen is what `eightholes picture` draws."""
    window = desk.start("show", "--embellishment", "birl", "--paused")
    try:
        desk.wait_for(still("--embellishment", "birl", "--at", AT_START))
        before = desk.screen()
        desk.press("j")
        desk.wait_until(lambda: desk.screen() != before, "the list never came")
        desk.press("t", "a", "o", "r", "space", "l", "o", "w", "space", "a", "Return")
        desk.wait_for(still("--embellishment", "taorluath", "--at", AT_START))
        desk.press("1")
        desk.wait_for(still("--embellishment", "taorluath", "--from", "d", "--at", AT_START))
    finally:
        window.kill()
        window.communicate()
