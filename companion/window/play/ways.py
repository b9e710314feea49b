"""What a playing screen needs of others: the list of tunes, and the guest that has its player meanwhile."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from companion.window.core.actions import Intent
from companion.window.core.screen import Canvas, KeyMove, Screen

if TYPE_CHECKING:
    from companion.window.live.input import LiveInput
    from companion.window.play.play_screen import PlayScreen


class Chooser(Protocol):
    """Makes the screen on which a tune is chosen over a playing screen; with a path, that file or folder is opened."""

    def __call__(self, screen: PlayScreen, path: str | None = None) -> Screen:
        """The screen."""


class ListensIn(Protocol):
    """A screen beside whose tune what is played in is heard, in place of the playing screen's."""

    def listen_in(self) -> None:
        """Take in what was played since the last frame."""

    @property
    def troubles(self) -> tuple[str, ...]:
        """A line for each thing of its own that failed behind the window's back."""

    @property
    def others(self) -> tuple[LiveInput, ...]:
        """Who plays in here beside the one who has the playing screen."""

    def close_microphones(self) -> None:
        """Close those of the others, for the next time too."""


class StagedScreen:
    """What is alike in all guests that play on a stage: a playing screen of their own, which is never shown itself."""

    def __init__(self, stage: PlayScreen) -> None:
        self.stage = stage
        self._hovered: tuple[float, float] | None = None

    @property
    def troubles(self) -> tuple[str, ...]:
        """Nothing of its own can fail."""
        return ()

    @property
    def others(self) -> tuple[LiveInput, ...]:
        """Nobody."""
        return ()

    def close_microphones(self) -> None:
        """There are none."""

    def take_key(self, move: KeyMove) -> bool:
        """Use one of the eight keys that play, while they do."""
        return self.stage.take_key(move)

    def lose_keys(self) -> None:
        """Take all keys to be up, since no release will be told."""
        self.stage.lose_keys()

    def press(self, x: float, y: float, canvas: Canvas) -> Intent | None:
        """Nothing but targets can be clicked; what is no target is taken hold of."""
        return None

    def hover(self, at: tuple[float, float] | None) -> None:
        """Where the pointer rests: what lies there is named."""
        self._hovered = at
