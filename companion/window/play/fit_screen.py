"""A question for tunes with notes outside the chanter's nine: read it transposed, or as it is written."""

from __future__ import annotations

from collections.abc import Callable

from companion.score.fitting import shift_words
from companion.score.model import Tune
from companion.window.core.hints import KeyTable
from companion.window.core.list_screen import ListScreen, list_keys
from companion.window.core.list_view import ListContents, ListRow, list_picture
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, ScreenResult

FIT_KEYS: KeyTable[object] = list_keys("choose", "as written")


class FitScreen(ListScreen):
    """Two ways to read a tune; `shift` is called where the first is chosen. For tunes whose `fits` is not None."""

    keys = FIT_KEYS

    def __init__(self, tune: Tune, shift: Callable[[], object]) -> None:
        super().__init__()
        self._shift = shift
        self._line = f"{tune.title or 'This tune'} has notes that no chanter has."
        self._rows = (
            ListRow(f"read it {shift_words(tune.fits or 0)}", "all its notes are on the chanter then"),
            ListRow("read it as it is written", "those notes are left out"),
        )

    def row_count(self) -> int:
        """How many answers there are to choose from."""
        return len(self._rows)

    def choose(self, rank: int) -> ScreenResult:
        """Shift the tune, or leave it as it is, and go back."""
        if rank == 0:
            self._shift()
        return ScreenResult.CLOSE

    def picture(self, canvas: Canvas) -> Picture:
        """The question and its two answers."""
        hints = self.at_foot(canvas.display)
        return list_picture(ListContents("Off the chanter", self._rows, self.rank, hints, self._line), canvas)
