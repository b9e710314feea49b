"""The playing screen with its tools for practice in use, in every state that looks otherwise."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

from companion.window.core.actions import Action
from companion.window.play.play_screen import PlayScreen
from companion.window.play.tools.hands_rest import LONGEST_FRAME_S, PLAYED_S
from tests.companion.window.players import Clock

BAR = (Action.PHRASE_ON, *(Action.REPEAT,) * 3)
"""From the whole tune to the first bar of its second phrase, which lasts 16 s."""


def tool_screens(playing: Callable[..., PlayScreen]) -> Mapping[str, Callable[[], PlayScreen]]:
    """Screens by name. playing: makes a playing screen that came so far, after some keys."""
    return {
        "the parts of the beat": partial(playing, 1.2, metronome=True, keys=(Action.PULSE,)),
        "a rest between rounds": partial(playing, 19.0, keys=(*BAR, Action.REST, Action.REST)),
        "an echo, listening": partial(playing, 1.2, keys=(*BAR, Action.ECHO)),
        "an echo, playing back": partial(playing, 19.0, keys=(*BAR, Action.ECHO)),
        "an echo, resting": partial(playing, 19.0, keys=(*BAR, Action.ECHO, Action.REST, Action.REST)),
        "a tempo that rises": partial(playing, 3.0, keys=(*BAR, Action.LADDER)),
        "a reminder to rest": partial(_long_played, playing),
    }


def _long_played(playing: Callable[..., PlayScreen]) -> PlayScreen:
    """A tune that has run for 25 minutes."""
    screen = playing()
    assert isinstance(screen.live.clock, Clock)
    for _ in range(round(PLAYED_S / LONGEST_FRAME_S) + 1):
        screen.live.clock.now_s += LONGEST_FRAME_S
        screen.listen_in()
    return screen
