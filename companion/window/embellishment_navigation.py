"""Navigation from the playing screen to the embellishments: all of them, and the one that stands at the playhead."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

from companion.schedule.events import Schedule
from companion.schedule.timing import Timing
from companion.score.exercise import exercise_of
from companion.score.model import Tune
from companion.window.core.actions import Action
from companion.window.core.screen import Screen
from companion.window.embellishments.catalogue_screen import CatalogueScreen
from companion.window.embellishments.practice_screen import PracticeScreen
from companion.window.embellishments.subject import Subject, subject_near
from companion.window.navigation import crossing_here
from companion.window.play.instrument_screen import InstrumentScreen
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_state import PlayState, first_state

OPENING = Timing(slow_down=4.0)
"""An embellishment opens at a quarter of its speed: fast enough to be one movement, slow enough to see each finger."""

_STAGE_NAVIGATION: Mapping[Action, Callable[[PlayScreen], Screen | None]] = MappingProxyType(
    {Action.CROSSING: crossing_here, Action.INSTRUMENT: InstrumentScreen}
)


def practice_over(
    screen: PlayScreen,
    subject: Subject,
    timing: Timing = OPENING,
    at: Callable[[Tune, Schedule], float] | None = None,
    *,
    playing: bool = True,
) -> PracticeScreen:
    """One embellishment over a playing screen, which lends player and ear; afterwards it goes on as it stood.

    at: from its exercise and schedule to seconds, None for the start. Raises UserError as `at` does.
    """
    going_on = screen.state.playing
    player = screen.lend()
    lent = screen.state
    tune = exercise_of(subject.embellishment, subject.before)
    state = first_state((tune,), tune, timing)
    state = replace(state, sound=lent.sound, live=lent.live, ear=lent.ear, touch=lent.touch, playing=playing)
    if at:
        state = replace(state, position_s=at(tune, state.schedule))
    player.pause()
    stage = PlayScreen(state, player, screen.chooser, _STAGE_NAVIGATION, screen.live)

    def let_go(last: PlayState) -> None:
        player.pause()
        screen.live.forget_beside()
        kept = replace(screen.state, sound=last.sound, live=last.live, ear=last.ear, touch=last.touch)
        screen.resume(replace(kept, playing=going_on))

    practice = PracticeScreen(subject, stage, lambda shown: CatalogueScreen(shown.show), let_go)
    screen.guest = practice
    return practice


def embellishment_here(screen: PlayScreen) -> Screen | None:
    """The embellishment at the present moment, else the next; None and one line to the user where there is none."""
    subject = subject_near(screen.state.schedule, screen.position_s())
    if subject is None:
        screen.tell("this tune has no gracenotes; J shows all embellishments")
        return None
    return practice_over(screen, subject)


def catalogue_over(screen: PlayScreen) -> CatalogueScreen:
    """All embellishments; the tune stands still meanwhile, and goes on as it stood afterwards."""
    going_on = screen.state.playing
    screen.lend().pause()
    return CatalogueScreen(
        lambda subject: practice_over(screen, subject), lambda: screen.resume(replace(screen.state, playing=going_on))
    )


EMBELLISHMENT_NAVIGATION: Mapping[Action, Callable[[PlayScreen], Screen | None]] = MappingProxyType(
    {Action.EMBELLISHMENT: embellishment_here, Action.CATALOGUE: catalogue_over}
)
