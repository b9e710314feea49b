"""What a playing screen needs of others: the list of tunes, and the screen that has its player meanwhile."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from companion.window.core.screen import Screen

if TYPE_CHECKING:
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
