"""A take, played back in the window: its fingers and its sound, at any slow-down."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from companion.sound.player import Player
from companion.window.actions import Action, Intent, Seek
from companion.window.marks import Picture
from companion.window.screen import Canvas, Screen, Turn
from companion.window.take_state import TakeState, heard_s, heard_schedule, taken_s, update_take
from companion.window.take_view import TAKE_KEYS, TakeView


class TakeScreen:
    """Borrows the player of the screen beneath; `give_back` returns it."""

    def __init__(self, state: TakeState, player: Player, give_back: Callable[[], None]) -> None:
        self.state = state
        self._player = player
        self._give_back = give_back
        self._view: TakeView | None = None
        player.pause()
        player.load(heard_schedule(state), heard_s(state, state.position_s))
        if state.playing:
            player.play()

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return tuple(key for hint in TAKE_KEYS for key in hint.keys)

    def position_s(self) -> float:
        """Where the take stands."""
        return taken_s(self.state, self._player.position_s()) if self.state.playing else self.state.position_s

    def act(self, intent: Intent) -> Turn | Screen:
        """Carry out an intent."""
        if intent is Action.LEAVE:
            return Turn.BENEATH
        position_s = self.position_s()
        self._become(update_take(self.state, intent, position_s), position_s)
        return Turn.STAY

    def tick(self) -> None:
        """At its end the take stops, and stands at its start again."""
        if self.state.playing and self.position_s() >= self.state.take.end_s:
            stopped = replace(self.state, playing=False, position_s=self.state.begin_s)
            self._become(stopped, self.position_s())

    def picture(self, canvas: Canvas) -> Picture:
        """The picture at this moment."""
        view = self._view_for(canvas)
        return view.picture(self.state, canvas.display, self.position_s(), canvas.width, canvas.height)

    def press(self, x: float, y: float, canvas: Canvas) -> Seek | None:
        """A click in the lanes goes to the moment that stands there."""
        size = canvas.width, canvas.height
        return self._view_for(canvas).seek_at(self.state, canvas.display, (x, y), self.position_s(), size)

    def close(self) -> None:
        """The player goes back to the screen beneath."""
        self._player.pause()
        self._give_back()

    def _view_for(self, canvas: Canvas) -> TakeView:
        if self._view is None or self._view.measure is not canvas.measure:
            self._view = TakeView(canvas.measure)
        return self._view

    def _become(self, new: TakeState, stood_at_s: float) -> None:
        old, self.state = self.state, new
        if new.slow_down != old.slow_down:
            self._player.retime(heard_schedule(new))
        if new.position_s != stood_at_s or new.slow_down != old.slow_down:
            self._player.seek(heard_s(new, new.position_s))
        if new.playing != old.playing:
            (self._player.play if new.playing else self._player.pause)()
