"""Makes what the playing screen needs for playing in, when it is first asked for.

The modules of instruments, ear and takes are loaded then, and not with the playing screen: they take as long as all
that the first frame shows, and it shows nothing of them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from companion.files.folders import takes_folder
from companion.window.core.display import Hand
from companion.window.lanes.played_in import NOTHING_PLAYED, PlayedIn
from companion.window.lanes.told import NOTHING_TOLD, Told
from companion.window.play.play_state import PlayState

if TYPE_CHECKING:
    from companion.midi.maps.touch import Touch
    from companion.midi.takes.own_settings import OwnSettings
    from companion.window.live.input import LiveInput
    from companion.window.live.played_keys import PlayedKeys


def live_input() -> LiveInput:
    """What is played in from now on, its takes kept in their folder. Raises UserError where there is no such folder."""
    from companion.window.live.input import LiveInput
    from companion.window.live.sound import LiveSound

    return LiveInput(takes_folder(), LiveSound())


def own_settings() -> OwnSettings:
    """In which settings the learner plays tunes, as they are kept."""
    from companion.midi.takes.own_settings import OwnSettings

    return OwnSettings.at_home()


def played_keys(live: LiveInput, upper: Hand, touch: Touch) -> PlayedKeys:
    """The computer's keys under a player's fingers, that hand above, sounding as what is played in does."""
    from companion.window.live.key_caps import keys_under

    return keys_under(upper, touch, live.sound.sound, live.clock)


def beside(live: LiveInput | None, now_s: float) -> PlayedIn:
    """What was played beside the tune in the seconds before `now_s`; nothing before it was first asked for."""
    return live.beside(now_s) if live else NOTHING_PLAYED


def told_now(live: LiveInput | None, state: PlayState, now_s: float) -> Told:
    """What the ear tells while the tune stands at `now_s`; nothing before it was first asked for."""
    return live.ear.told(state.tune, state.timing, state.schedule, now_s) if live else NOTHING_TOLD
