"""The catalogue of embellishments: search it, move along it, open one of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from companion.window.core.actions import Action, Intent, Pick, Typed
from companion.window.core.display import Display
from companion.window.core.hints import Hint
from companion.window.core.list_screen import moved
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Screen, ScreenResult, StillScreen
from companion.window.embellishments.catalogue_keys import CATALOGUE_KEYS, catalogue_caps
from companion.window.embellishments.catalogue_state import cleared, family_moved, opened_catalogue, searched
from companion.window.embellishments.catalogue_view import catalogue_picture
from companion.window.embellishments.subject import Subject, subject_of


class CatalogueScreen(StillScreen):
    """All embellishments to choose from.

    show: opens the chosen one, and its answer is returned. let_go: called when the screen closes.
    """

    def __init__(
        self, show: Callable[[Subject], ScreenResult | Screen], let_go: Callable[[], None] = lambda: None
    ) -> None:
        self.state = opened_catalogue()
        self._show = show
        self._let_go = let_go

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return catalogue_caps()

    def sheet(self, display: Display) -> Sequence[Hint]:
        """Nothing: its key is a letter of the search here."""
        return CATALOGUE_KEYS.on_sheet(self.state, display)

    @property
    def written(self) -> str:
        """What is searched for."""
        return self.state.search

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Move the mark, open what is marked, clear the search, or leave."""
        match intent:
            case Typed(text):
                self.state = searched(self.state, self.written + text)
            case Action.ERASE:
                self.state = searched(self.state, self.written[:-1])
            case Action.LEAVE if self.state.search:
                self.state = cleared(self.state)
            case Action.LEAVE:
                return ScreenResult.CLOSE
            case Action.CHOOSE:
                return self._opened()
            case Pick(rank) if rank < len(self.state.rows):
                self.state = replace(self.state, rank=rank)
                return self._opened()
            case Action.BACK | Action.ON:
                self.state = family_moved(self.state, 1 if intent is Action.ON else -1)
            case Action():
                self.state = replace(self.state, rank=moved(self.state.rank, len(self.state.rows), intent))
        return ScreenResult.STAY

    def picture(self, canvas: Canvas) -> Picture:
        """The list."""
        return catalogue_picture(self.state, CATALOGUE_KEYS.at_foot(self.state, canvas.display), canvas)

    def close(self) -> None:
        """Let the screen beneath go on."""
        self._let_go()

    def _opened(self) -> ScreenResult | Screen:
        marked = self.state.marked
        return self._show(subject_of(marked.entry)) if marked else ScreenResult.STAY
