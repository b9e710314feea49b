"""What a teacher would say after a take: what to mend first, with a drill for each, and what went well."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from companion.listen.verdict.verdict import Verdict
from companion.window.core.actions import Action, Intent, Pick
from companion.window.core.hints import PAGE_KEYS, KeyHint, said
from companion.window.core.list_view import moved
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Screen, ScreenResult
from companion.window.takes.verdict_view import Stop, stops_of, verdict_picture

_MOVE: KeyHint[object] = KeyHint((("↓", Action.TEMPO_DOWN), ("↑", Action.TEMPO_UP)), lambda state, display: "move")
_DRILL: KeyHint[object] = KeyHint((("Enter", Action.CHOOSE),), lambda state, display: "drill it")
_OTHERS: tuple[KeyHint[object], ...] = (
    *PAGE_KEYS,
    KeyHint((("Esc", Action.LEAVE),), lambda state, display: "back to the take"),
)
VERDICT_KEYS: tuple[KeyHint[object], ...] = (_MOVE, _DRILL, *_OTHERS)


class VerdictScreen:
    """The verdict; `drill` is called with the rank of the thing to mend that is taken, and says what follows."""

    def __init__(self, verdict: Verdict, drill: Callable[[int], ScreenResult | Screen]) -> None:
        self._verdict = verdict
        self._drill = drill
        self._stops = stops_of(verdict)
        self.rank = 0

    @property
    def marked(self) -> Stop | None:
        """What is marked; None where nothing is said at all."""
        return self._stops[self.rank] if self._stops else None

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return tuple(key for hint in VERDICT_KEYS for key in hint.keys)

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Move along what is said, or drill what is to be mended."""
        match intent:
            case Action.LEAVE:
                return ScreenResult.CLOSE
            case Action.CHOOSE:
                return self._drill_marked()
            case Pick(rank):
                self.rank = rank
                return self._drill_marked()
            case Action():
                self.rank = moved(self.rank, len(self._stops), intent)
        return ScreenResult.STAY

    def tick(self) -> None:
        """Nothing moves here."""

    def picture(self, canvas: Canvas) -> Picture:
        """The page on which what is marked stands."""
        drill = (_DRILL,) if self.marked and self.marked.matter is not None else ()
        hints = said((_MOVE, *drill, *_OTHERS), None, canvas.display)
        return verdict_picture(self._verdict, self.rank, hints, canvas)

    def press(self, x: float, y: float, canvas: Canvas) -> Intent | None:
        """Only what is said can be clicked."""
        return None

    def close(self) -> None:
        """Nothing is held."""

    def _drill_marked(self) -> ScreenResult | Screen:
        marked = self.marked
        return self._drill(marked.matter) if marked and marked.matter is not None else ScreenResult.STAY
