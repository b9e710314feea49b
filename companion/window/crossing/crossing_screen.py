"""The crossing screen: two notes, the movement between them, and what a late finger does to it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from companion.schedule.crossing import NamedTransition
from companion.sound.player import Player
from companion.window.core.actions import Action, Intent
from companion.window.core.display import Display
from companion.window.core.hints import Hint
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Grab, Screen, ScreenResult
from companion.window.crossing.crossing_keys import CROSSING_KEYS
from companion.window.crossing.crossing_state import CrossingState, update, with_crossing
from companion.window.crossing.crossing_view import CrossingView


class CrossingScreen:
    """Plays one crossing over and over on a player that another screen lent to it.

    choose: makes the map of every change of note, and calls `show` with what is chosen there. let_go: called when the
    screen closes.
    """

    def __init__(
        self,
        state: CrossingState,
        player: Player,
        choose: Callable[[Callable[[NamedTransition], ScreenResult | Screen]], Screen],
        let_go: Callable[[], None] = lambda: None,
    ) -> None:
        self.state = state
        self._player = player
        self._choose = choose
        self._let_go = let_go
        self._view: CrossingView | None = None
        player.load(state.schedule, state.position_s)
        player.set_loop(state.span)
        (player.play if state.playing else player.pause)()

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return CROSSING_KEYS.keycaps()

    def sheet(self, display: Display) -> Sequence[Hint]:
        """What the sheet shows."""
        return CROSSING_KEYS.on_sheet(self.state, display)

    def position_s(self) -> float:
        """The present moment of the crossing, in seconds of its schedule."""
        return self._player.position_s() if self.state.playing else self.state.position_s

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Carry out an intent."""
        match intent:
            case Action.LEAVE:
                return ScreenResult.CLOSE
            case Action.MAP:
                self._become(replace(self.state, playing=False, position_s=self.position_s()), self.position_s())
                return self._choose(self.show)
            case _:
                position_s = self.position_s()
                self._become(update(self.state, intent, position_s), position_s)
                return ScreenResult.STAY

    def show(self, named: NamedTransition) -> ScreenResult:
        """Show another crossing, chosen on another screen; tells that one to close."""
        self._become(replace(with_crossing(self.state, named), playing=True, position_s=0.0), self.position_s())
        return ScreenResult.CLOSE

    def tick(self) -> None:
        """Do nothing: the player repeats the crossing by itself."""

    def picture(self, canvas: Canvas) -> Picture:
        """The picture at this moment."""
        return self._view_for(canvas).picture(
            self.state, canvas.display, self.position_s(), canvas.width, canvas.height
        )

    def press(self, x: float, y: float, canvas: Canvas) -> Intent | None:
        """Nothing but targets can be clicked; what is no target is taken hold of."""
        return None

    def grab(self, x: float, y: float, canvas: Canvas) -> Grab | None:
        """The lanes, to be dragged through time."""
        size = (canvas.width, canvas.height)
        return self._view_for(canvas).grab_at(self.state, canvas.display, (x, y), self.position_s(), size)

    def hover(self, at: tuple[float, float] | None) -> None:
        """Nothing is named under the pointer."""

    def close(self) -> None:
        """Give the player back."""
        self._player.pause()
        self._let_go()

    def _view_for(self, canvas: Canvas) -> CrossingView:
        if self._view is None or self._view.measure is not canvas.measure:
            self._view = CrossingView(canvas.measure)
        return self._view

    def _become(self, new: CrossingState, stood_at_s: float) -> None:
        old, self.state = self.state, new
        if new.named != old.named:
            self._player.load(new.schedule, new.position_s)
            self._player.set_loop(new.span)
        elif new.schedule is not old.schedule:
            self._player.retime(new.schedule)
            self._player.set_loop(new.span)
        elif new.position_s != stood_at_s:
            self._player.seek(new.position_s)
        if new.playing != self._player.playing:
            (self._player.play if new.playing else self._player.pause)()
