"""Free play: no tune; the chanter shows what is played in."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from companion.files.lines import one_line
from companion.listen.model.played import Played
from companion.window.core.actions import Action, Intent
from companion.window.core.display import Display
from companion.window.core.hints import Group, Hint, KeyHint, KeyTable, with_shift
from companion.window.core.look_keys import LOOK_KEYS, MORE_KEY, leave_key
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, KeyMove, Screen, ScreenResult, StillScreen
from companion.window.play.free_view import FreeView
from companion.window.play.play_keys import LIVE_KEYS, SOUND_KEYS
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_state import PlayState
from fingering.errors import UserError

_SOUND = {Action.VOICE, Action.DRONES, Action.PITCH_DOWN}
_SOUND_KEYS = tuple(hint for hint in SOUND_KEYS if hint.actions[0] in _SOUND)
_WRITE_KEY: KeyHint[PlayState] = KeyHint(
    (Action.CHOOSE,),
    lambda state, display: "write it down",
    "Writes down what you played last as a tune, to be looked through and saved.",
    Group.LEARN,
)
FREE_KEYS: KeyTable[PlayState] = KeyTable(
    foot=(*LIVE_KEYS[:2], _WRITE_KEY, leave_key("back to the tune"), MORE_KEY),
    sheet=(*_SOUND_KEYS, *LOOK_KEYS, *LIVE_KEYS, _WRITE_KEY, MORE_KEY),
)
NOTHING_YET = "play something first: a phrase at least"

Write = Callable[[PlayScreen, Sequence[Played]], Screen]
"""The screen that writes down what was played freely."""


class FreeScreen(StillScreen):
    """Free play over the playing screen, whose sound and instrument it uses; the tune stands still meanwhile.

    write: makes the screen that writes down what was played, None where that is not offered.
    """

    def __init__(self, beneath: PlayScreen, write: Write | None = None) -> None:
        self._beneath = beneath
        self._write = write
        self._notice = ""
        self._noticed_s = 0.0
        self._view: FreeView | None = None
        beneath.play_alone(True)
        beneath.live.keep_free_play()

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return FREE_KEYS.keycaps()

    def sheet(self, display: Display) -> Sequence[Hint]:
        """What the sheet shows."""
        return self._beneath.live.of_use(FREE_KEYS.on_sheet(self._beneath.state, display))

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Carry out an intent; those about sound and instrument are passed on to the playing screen."""
        match intent:
            case Action.LEAVE:
                return ScreenResult.CLOSE
            case Action.CHOOSE:
                return self._written()
            case Action() if any(intent is action for _, action in self.keycaps()):
                return self._beneath.act(intent)
        return ScreenResult.STAY

    def _written(self) -> ScreenResult | Screen:
        self._beneath.listen_in()
        piece = self._beneath.live.free_piece
        if not piece or self._write is None:
            self._notice, self._noticed_s = NOTHING_YET, self._beneath.live.clock()
            return ScreenResult.STAY
        self._notice = ""
        try:
            return self._write(self._beneath, piece)
        except UserError as error:  # no folder to keep anything in
            self._notice = one_line(f"{error.what}; {error.remedy}")
            return ScreenResult.STAY

    def take_key(self, move: KeyMove) -> bool:
        """Pass a key on to the playing screen, where eight of them play."""
        return self._beneath.take_key(move)

    def lose_keys(self) -> None:
        """Take all keys to be up, since no release will be told."""
        self._beneath.lose_keys()

    def picture(self, canvas: Canvas) -> Picture:
        """The picture at this moment."""
        if self._view is None or self._view.measure is not canvas.measure:
            self._view = FreeView(canvas.measure)
        self._beneath.hold_with(canvas.display.upper_hand)
        now_s = self._beneath.live.clock()
        played = self._beneath.live.freely(now_s)
        if self._notice == NOTHING_YET and self._beneath.live.played_s > self._noticed_s:
            self._notice = ""  # it is done
        if self._notice and not played.problem:
            played = replace(played, problem=self._notice)
        hints = with_shift(FREE_KEYS.at_foot(self._beneath.state, canvas.display), played.caps)
        return self._view.picture(played, hints, canvas.display, now_s, canvas.width, canvas.height)

    def close(self) -> None:
        """Give the drones back to the tune."""
        self._beneath.live.end_free_play()
        self._beneath.play_alone(False)
