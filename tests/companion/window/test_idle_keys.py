"""A key that would do nothing now is shown neither at the foot nor on the sheet."""

from __future__ import annotations

import pytest

from companion.window.core.actions import Action
from companion.window.core.display import Display
from companion.window.core.screen import Screen
from companion.window.play.instrument_screen import InstrumentScreen
from tests.companion.window import scenes
from tests.companion.window.every_screen import playing
from tests.companion.window.takes.reviewing import FAULTLESS, THREE_SLIPS, canvas, reviewed
from tests.companion.window.takes.take_scenes import unjudged

PLACES = {Action.FINDING_BACK, Action.FINDING_ON, Action.ALL_PLACES}
THERE = {Action.HEAR_MINE, Action.HEAR_RIGHT, Action.HEAR_IN_TURN, Action.CHOOSE}


def shown(screen: Screen) -> set[Action]:
    """What the keys at the foot, the buttons and the sheet ask for."""
    at_foot = {target.intent for target in screen.picture(canvas((1280, 720))).targets}
    on_sheet = {action for hint in screen.sheet(Display()) for action in hint.actions}
    return {each for each in at_foot | on_sheet if isinstance(each, Action)}


@pytest.mark.parametrize(
    "screen", [reviewed(FAULTLESS), unjudged("no tune"), unjudged(tune_is_here=False)], ids=["good", "refused", "gone"]
)
def test_a_take_without_places_offers_no_way_to_them(screen: Screen) -> None:
    """Nor to what goes there otherwise; where there are places, it does."""
    assert not shown(screen) & (PLACES | THERE)
    assert shown(reviewed(THREE_SLIPS)) >= PLACES | THERE


def test_nothing_is_learnt_of_the_computer_s_keys() -> None:
    """They are known: only a port is learnt."""
    screen = InstrumentScreen(playing(runs=False))
    assert not shown(screen) & {Action.LEARN_NOTES, Action.LEARN_HOLES}
    assert not any("learn" in label.text for label in scenes.labels(screen.picture(canvas())))
