"""Asks how a tune is to be read that has notes outside the chanter's nine: shifted, or as it is written."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from companion.score.fitting import shift_words
from companion.score.model import Tune
from companion.window.core.actions import Action, Intent, Pick
from companion.window.core.hints import PAGE_KEYS, KeyHint, said
from companion.window.core.list_view import Listed, ListRow, list_picture, moved
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Screen, ScreenResult

FIT_KEYS: tuple[KeyHint[object], ...] = (
    KeyHint((("↓", Action.TEMPO_DOWN), ("↑", Action.TEMPO_UP)), lambda state, display: "move"),
    KeyHint((("Enter", Action.CHOOSE),), lambda state, display: "choose"),
    *PAGE_KEYS,
    KeyHint((("Esc", Action.LEAVE),), lambda state, display: "as written"),
)


class FitScreen:
    """Two ways to read a tune; `shift` is called where the first is chosen. For tunes whose `fits` is not None."""

    def __init__(self, tune: Tune, shift: Callable[[], object]) -> None:
        self._shift = shift
        self._rank = 0
        self._line = f"{tune.title or 'This tune'} has notes that no chanter has."
        self._rows = (
            ListRow(f"read it {shift_words(tune.fits or 0)}", "all its notes are on the chanter then"),
            ListRow("read it as it is written", "those notes are left out"),
        )

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return tuple(key for hint in FIT_KEYS for key in hint.keys)

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Move along the two, or take one and go back."""
        match intent:
            case Action.CHOOSE:
                return self._take(self._rank)
            case Pick(rank):
                return self._take(rank)
            case Action.LEAVE:
                return ScreenResult.CLOSE
            case Action():
                self._rank = moved(self._rank, len(self._rows), intent)
        return ScreenResult.STAY

    def _take(self, rank: int) -> ScreenResult:
        if rank == 0:
            self._shift()
        return ScreenResult.CLOSE

    def tick(self) -> None:
        """Nothing moves here."""

    def press(self, x: float, y: float, canvas: Canvas) -> Intent | None:
        """Only the rows can be clicked."""
        return None

    def close(self) -> None:
        """Nothing is held."""

    def picture(self, canvas: Canvas) -> Picture:
        """The question and its two answers."""
        hints = said(FIT_KEYS, None, canvas.display)
        return list_picture(Listed("Off the chanter", self._rows, self._rank, hints, self._line), canvas)
