"""Navigation from the playing screen to the class."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

from companion.schedule.spans import Extent
from companion.window.classroom.class_input import ClassInput
from companion.window.classroom.class_screen import ClassScreen
from companion.window.classroom.plan import PhrasePlan, Plan
from companion.window.core.actions import Action
from companion.window.core.screen import Screen
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_state import PlayState, respan


def class_over(screen: PlayScreen, plan: Plan | None = None) -> ClassScreen:
    """A class over a playing screen, which lends its player; afterwards it goes on as it stood.

    plan: what the class is led through, None for the phrases of the tune. What the playing screen itself was played in
    on rests meanwhile: it may be a chanter that one of the class plays.
    """
    going_on = screen.state.playing
    player = screen.lend()
    lent = screen.state
    player.pause()
    live = screen.live
    opened = respan(replace(lent, playing=False, extent=Extent.PHRASE, marked=False, touch=None, notice=""))
    stage = PlayScreen(opened, player, screen.chooser, live=live, staff=screen.staff)
    room = ClassInput(lambda: live.choice.instruments, live.takes, live.clock)

    def let_go(last: PlayState) -> None:
        player.pause()
        live.adopt(room.unkept)
        live.forget_beside()
        kept = replace(screen.state, sound=last.sound, ear=last.ear)
        screen.resume(replace(kept, playing=going_on))

    opened_class = ClassScreen(stage, room, plan or PhrasePlan(lent.tune), let_go)
    screen.guest = opened_class
    return opened_class


CLASS_NAVIGATION: Mapping[Action, Callable[[PlayScreen], Screen | None]] = MappingProxyType({Action.CLASS: class_over})
