"""Free play on the computer's keys, as the window shows it."""

from __future__ import annotations

from dataclasses import replace

from companion.midi.maps.keys import KeyLayout, UpperHand
from companion.midi.maps.touch import Touch
from companion.window.core.screen import Screen
from companion.window.live.played_keys import PlayedKeys
from companion.window.play.free_screen import FreeScreen
from companion.window.play.play_screen import PlayScreen
from tests.companion.window.play.test_play_view import CAPS


def freely_on_keys(beneath: PlayScreen) -> Screen:
    """Free play over a playing screen, whose instrument becomes the computer's keys."""
    beneath.state = replace(beneath.state, touch=Touch.CLOSED)
    live, layout = beneath.live, KeyLayout.for_upper_hand(UpperHand.LEFT)
    live.play_keys(PlayedKeys(layout, Touch.CLOSED, CAPS, live.sound.sound, live.clock))
    return FreeScreen(beneath)
