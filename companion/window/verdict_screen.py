"""What a teacher would say after a take: what to mend first, with a drill for each, and what went well."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from companion.listen.verdict import Verdict
from companion.window.actions import Action, Intent, Pick
from companion.window.hints import PAGE_KEYS, KeyHint, said
from companion.window.list_view import moved
from companion.window.marks import Picture
from companion.window.screen import Canvas, Screen, Turn
from companion.window.verdict_view import verdict_picture

VERDICT_KEYS: tuple[KeyHint[object], ...] = (
    KeyHint((("↓", Action.TEMPO_DOWN), ("↑", Action.TEMPO_UP)), lambda state, display: "move"),
    KeyHint((("Enter", Action.CHOOSE),), lambda state, display: "drill it"),
    *PAGE_KEYS,
    KeyHint((("Esc", Action.LEAVE),), lambda state, display: "back to the take"),
)


class VerdictScreen:
    """The verdict; `drill` is called with the rank of the thing to mend that is taken, and says what follows."""

    def __init__(self, verdict: Verdict, drill: Callable[[int], Turn | Screen]) -> None:
        self._verdict = verdict
        self._drill = drill
        self.rank = 0

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return tuple(key for hint in VERDICT_KEYS for key in hint.keys)

    def act(self, intent: Intent) -> Turn | Screen:
        """Move along what is to be mended, or drill it."""
        match intent:
            case Action.LEAVE:
                return Turn.BENEATH
            case Action.CHOOSE if self._verdict.first:
                return self._drill(self.rank)
            case Pick(rank):
                self.rank = rank
                return self._drill(rank)
            case Action():
                self.rank = moved(self.rank, len(self._verdict.first), intent)
        return Turn.STAY

    def tick(self) -> None:
        """Nothing moves here."""

    def picture(self, canvas: Canvas) -> Picture:
        """The verdict on one page."""
        return verdict_picture(self._verdict, self.rank, said(VERDICT_KEYS, None, canvas.display), canvas)

    def press(self, x: float, y: float, canvas: Canvas) -> Intent | None:
        """Only what is to be mended can be clicked."""
        return None

    def close(self) -> None:
        """Nothing is held."""
