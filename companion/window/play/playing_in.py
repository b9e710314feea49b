"""Makes what the playing screen needs for playing in, when it is first asked for.

The modules of instruments, ear and takes are loaded then, and not with the playing screen: they take as long as all
that the first frame shows, and it shows nothing of them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from companion.files.folders import takes_folder
from companion.sound.settings import live_settings
from companion.window.core.display import Hand
from companion.window.core.screen import KeyMove
from companion.window.lanes.played_in import NOTHING_PLAYED, PlayedIn
from companion.window.lanes.told import NOTHING_TOLD, Told
from companion.window.play.play_state import PlayState

if TYPE_CHECKING:
    from companion.midi.maps.touch import Touch
    from companion.midi.takes.own_settings import OwnSettings
    from companion.window.live.input import LiveInput
    from companion.window.live.tune_run import TuneRun


class Beside:
    """What is played in beside a playing screen: the instrument or the computer's keys, the ear, the learner's own
    settings of tunes. Each is made when it is first asked for.

    live: what is played in, None for what this program's folders and devices give, played by `learner`. alone:
    whether the drones sound with it, since no tune does.
    """

    def __init__(self, live: LiveInput | None, learner: str = "") -> None:
        self._live = live
        self._learner = learner
        self._own: OwnSettings | None = None
        self._hand = Hand.LEFT
        self.alone = False

    @property
    def live(self) -> LiveInput:
        """What is played in. Raises UserError where takes cannot be kept."""
        if self._live is None:
            from companion.window.live.input import LiveInput
            from companion.window.live.sound import LiveSound

            self._live = LiveInput(takes_folder(), LiveSound(), learner=self._learner)
        return self._live

    @property
    def own_settings(self) -> OwnSettings:
        """In which settings the learner plays tunes, as they are kept."""
        if self._own is None:
            from companion.midi.takes.own_settings import OwnSettings

            self._own = OwnSettings.at_home()
        return self._own

    @property
    def keeping(self) -> bool:
        """Whether a take is kept now."""
        return self._live is not None and self._live.keeping

    @property
    def troubles(self) -> tuple[str, ...]:
        """A line for each thing that failed behind the window's back, "" for each that did not."""
        return (self._own.trouble if self._own else "", *self.live.troubles)

    def gather(self, run: TuneRun | None, state: PlayState) -> None:
        """Take in what was played since the last frame, beside a tune that runs, and sound it.

        What a microphone hears is not sounded, or it would hear that again.
        """
        self.live.ear.settings = state.ear
        self.live.gather(run)
        microphone = self.live.choice.microphone
        if microphone and state.playing and any(state.sounding.levels.values()):
            self.live.sounds_beside()
        if self.live.choice.name:
            level, drones = (0.0, False) if microphone else (state.live.level, self.alone)
            self.live.sound.use(live_settings(state.sounding, level, drones=drones), state.live.way)

    def take_key(self, move: KeyMove) -> bool:
        """Use one of the eight keys that play, while they do and shift is not held; returns whether it was used."""
        keys = self._live.choice.keys if self._live else None
        if keys is None or not keys.takes(move.scancode) or (move.down and move.shifted):
            return False
        keys.move(move.scancode, down=move.down)
        return True

    def lose_keys(self) -> None:
        """Take all keys to be up, since no release will be told."""
        if self._live and self._live.choice.keys:
            self._live.choice.keys.let_go()

    def play_on_keys(self, touch: Touch | None) -> None:
        """Let the computer's keys play in that way; None lets them not play."""
        from companion.window.live.key_caps import keys_under

        live = self.live
        live.play_keys(keys_under(self._hand, touch, live.sound.sound, live.clock) if touch else None)

    def hold_with(self, upper: Hand, touch: Touch | None) -> None:
        """Set the hand at the upper end; the keys under the fingers follow."""
        if upper is not self._hand:
            self._hand = upper
            if touch:
                self.play_on_keys(touch)

    def seen(self, now_s: float) -> PlayedIn:
        """What was played beside the tune in the seconds before `now_s`; nothing before it was first asked for."""
        return self._live.beside(now_s) if self._live else NOTHING_PLAYED

    def told(self, state: PlayState, now_s: float) -> Told:
        """What the ear tells while the tune stands at `now_s`; nothing before it was first asked for."""
        if self._live is None:
            return NOTHING_TOLD
        return self._live.ear.told(state.tune, state.timing, state.schedule, now_s)

    def close(self) -> None:
        """Finish the take, if there is one."""
        if self._live:
            self._live.close()
