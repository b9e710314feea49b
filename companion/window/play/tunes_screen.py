"""The list of tunes to choose from."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from companion.score.model import Tune
from companion.window.core.actions import Action, Intent, Pick
from companion.window.core.hints import PAGE_KEYS, KeyHint, said
from companion.window.core.list_view import Listed, ListRow, list_picture, moved
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Screen, ScreenResult

TUNES_KEYS: tuple[KeyHint[object], ...] = (
    KeyHint((("↓", Action.TEMPO_DOWN), ("↑", Action.TEMPO_UP)), lambda state, display: "move"),
    KeyHint((("Enter", Action.CHOOSE),), lambda state, display: "choose"),
    *PAGE_KEYS,
    KeyHint((("Esc", Action.LEAVE),), lambda state, display: "back"),
)


class TunesScreen:
    """The list of tunes; `take` is called with the rank of the chosen one.

    ask: the question that a tune has to be asked first, None for most; it stands in the place of the list then.
    """

    def __init__(
        self,
        tunes: Sequence[Tune],
        current: int,
        take: Callable[[Intent], object],
        ask: Callable[[Tune], Screen | None] = lambda tune: None,
    ) -> None:
        self._ask = ask
        self._question: Screen | None = None
        self._tunes = tunes
        self._rank = current
        self._take = take

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        if self._question:
            return self._question.keycaps()
        return tuple(key for hint in TUNES_KEYS for key in hint.keys)

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Move the mark along the list, take the chosen tune, or go back."""
        if self._question:
            return self._question.act(intent)
        match intent:
            case Action.CHOOSE:
                return self._chosen(self._rank)
            case Pick(rank):
                return self._chosen(rank)
            case Action.LEAVE:
                return ScreenResult.CLOSE
            case Action():
                self._rank = moved(self._rank, len(self._tunes), intent)
        return ScreenResult.STAY

    def _chosen(self, rank: int) -> ScreenResult:
        self._take(Pick(rank))
        self._question = self._ask(self._tunes[rank])
        return ScreenResult.STAY if self._question else ScreenResult.CLOSE

    def tick(self) -> None:
        """Nothing moves here."""

    def press(self, x: float, y: float, canvas: Canvas) -> Intent | None:
        """Only the tunes can be clicked."""
        return None

    def close(self) -> None:
        """Nothing is held."""

    def picture(self, canvas: Canvas) -> Picture:
        """The list with the chosen tune marked, or the question that is to be answered first."""
        if self._question:
            return self._question.picture(canvas)
        hints = said(TUNES_KEYS, None, canvas.display)
        return list_picture(Listed("Tunes", tuple(map(_row, self._tunes)), self._rank, hints), canvas)


def _row(tune: Tune) -> ListRow:
    return ListRow(tune.title, ", ".join(filter(None, (tune.rhythm, tune.meter.text))))
