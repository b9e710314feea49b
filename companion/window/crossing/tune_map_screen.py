"""The tune map: what to drill in the tune that plays, the worst first."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from companion.schedule.crossing import NamedTransition
from companion.schedule.events import Schedule
from companion.schedule.transitions import transitions
from companion.window.core.actions import Action, Intent, Pick
from companion.window.core.hints import PAGE_KEYS, KeyHint, said
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Screen, ScreenResult
from companion.window.crossing.tune_map_view import drill_of, drill_picture
from fingering.errors import UserError
from fingering.notes import HARMONIC, Tuning

TUNE_MAP_KEYS: tuple[KeyHint[object], ...] = (
    KeyHint((("↓", Action.TEMPO_DOWN), ("↑", Action.TEMPO_UP)), lambda state, display: "move"),
    KeyHint((("Enter", Action.CHOOSE),), lambda state, display: "open"),
    *PAGE_KEYS,
    KeyHint((("Esc", Action.LEAVE),), lambda state, display: "back"),
)


class TuneMapScreen:
    """A tune's own movements; `choose` is called with the one that is taken, and says what follows.

    Raises UserError for a tune in which nothing moves.
    """

    def __init__(
        self,
        title: str,
        schedule: Schedule,
        choose: Callable[[NamedTransition], ScreenResult | Screen],
        tuning: Tuning = HARMONIC,
    ) -> None:
        found = transitions(schedule, tuning)
        if not found:
            raise UserError("no fingers move in this tune", "choose another", title)
        self._named = tuple(NamedTransition(each.transition, each.start, each.end) for each in found)
        self._drill = drill_of(title, schedule, found, tuning)
        self._choose = choose
        self.rank = 0

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return tuple(key for hint in TUNE_MAP_KEYS for key in hint.keys)

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Move along the list, or take a movement."""
        match intent:
            case Action.LEAVE:
                return ScreenResult.CLOSE
            case Action.TEMPO_UP | Action.FASTER:
                self.rank = max(0, self.rank - 1)
            case Action.TEMPO_DOWN | Action.SLOWER:
                self.rank = min(len(self._named) - 1, self.rank + 1)
            case Action.CHOOSE:
                return self._choose(self._named[self.rank])
            case Pick(rank):
                self.rank = rank
                return self._choose(self._named[rank])
            case _:
                pass
        return ScreenResult.STAY

    def tick(self) -> None:
        """Nothing moves here."""

    def picture(self, canvas: Canvas) -> Picture:
        """The list."""
        hints = said(TUNE_MAP_KEYS, None, canvas.display)
        return drill_picture(self._drill, self.rank, hints, canvas.width, canvas.height, canvas.measure)

    def press(self, x: float, y: float, canvas: Canvas) -> Intent | None:
        """Only the rows can be clicked."""
        return None

    def close(self) -> None:
        """Nothing is held."""
