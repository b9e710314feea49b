"""The list of tunes to choose from."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from companion.score.model import Tune
from companion.window.core.actions import Action, Intent, Pick
from companion.window.core.hints import KeyTable
from companion.window.core.list_screen import ListScreen, list_keys
from companion.window.core.list_view import ListContents, ListRow, list_picture
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Screen, ScreenResult
from companion.window.play.fit_screen import FitScreen

TUNES_KEYS: KeyTable[object] = list_keys("choose", "back")


class TunesScreen(ListScreen):
    """The list of tunes; `take` is called with the rank of the chosen one.

    ask: the question that a tune has to be asked first, None for most; it is then shown in the place of the list.
    """

    keys = TUNES_KEYS

    def __init__(
        self,
        tunes: Sequence[Tune],
        current: int,
        take: Callable[[Intent], object],
        ask: Callable[[Tune], FitScreen | None] = lambda tune: None,
    ) -> None:
        super().__init__(current)
        self._ask = ask
        self._question: FitScreen | None = None
        self._tunes = tunes
        self._take = take

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        if self._question:
            return self._question.keycaps()
        return super().keycaps()

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Move the mark along the list, take the chosen tune, or go back."""
        if self._question:
            return self._question.act(intent)
        return super().act(intent)

    def row_count(self) -> int:
        """How many tunes there are."""
        return len(self._tunes)

    def choose(self, rank: int) -> ScreenResult:
        """Take a tune, and go back unless there is a question to it."""
        self._take(Pick(rank))
        self._question = self._ask(self._tunes[rank])
        return ScreenResult.STAY if self._question else ScreenResult.CLOSE

    def picture(self, canvas: Canvas) -> Picture:
        """The list with the chosen tune marked, or the question that is to be answered first."""
        if self._question:
            return self._question.picture(canvas)
        hints = self.at_foot(canvas.display)
        return list_picture(ListContents("Tunes", tuple(map(_row, self._tunes)), self.rank, hints), canvas)


def _row(tune: Tune) -> ListRow:
    return ListRow(tune.title, ", ".join(filter(None, (tune.rhythm, tune.meter.text))))
