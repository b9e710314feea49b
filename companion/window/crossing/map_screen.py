"""The map of all pairs of notes: choose a crossing by how hard it is."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from companion.schedule.crossing import NamedTransition
from companion.window.core.actions import Action, Intent, Pick
from companion.window.core.display import Display
from companion.window.core.hints import Group, Hint, KeyHint, KeyTable
from companion.window.core.look_keys import MORE_KEY, PAGE_KEYS, leave_key
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Screen, ScreenResult, StillScreen
from companion.window.crossing.map_view import PAIRS, NotePair, map_picture
from fingering.crossings.analysis import all_pairs
from fingering.notes import HARMONIC, Note, Tuning

MAP_KEYS: KeyTable[object] = KeyTable(
    foot=(
        KeyHint((Action.BACK, Action.ON), lambda state, display: "to", "The note to go to.", Group.SEE),
        KeyHint(
            (Action.TEMPO_DOWN, Action.TEMPO_UP), lambda state, display: "from", "The note to come from.", Group.SEE
        ),
        KeyHint((Action.CHOOSE,), lambda state, display: "open", "Shows it finger by finger.", Group.SEE),
        leave_key("back"),
        MORE_KEY,
    ),
    sheet=(*PAGE_KEYS, MORE_KEY),
)
_STEPS = {
    Action.BACK: (0, -1),
    Action.ON: (0, 1),
    Action.TEMPO_UP: (-1, 0),
    Action.TEMPO_DOWN: (1, 0),
    Action.FASTER: (-1, 0),
    Action.SLOWER: (1, 0),
}


def neighbour(pair: NotePair, down: int, right: int) -> NotePair:
    """The pair `down` rows and `right` columns from `pair` on the map, over the empty diagonal and round the edges."""
    start, end = Note((pair[0] + down) % len(Note)), Note((pair[1] + right) % len(Note))
    return (start, end) if start is not end else neighbour((start, end), down, right)


class MapScreen(StillScreen):
    """The map of all ordered pairs; `choose` is called with the pair that is taken, and its result is returned."""

    def __init__(
        self,
        choose: Callable[[NamedTransition], ScreenResult | Screen],
        chosen: NotePair = (Note.D, Note.E),
        tuning: Tuning = HARMONIC,
    ) -> None:
        self._choose = choose
        self.chosen = chosen
        self._pairs = all_pairs(tuning)

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return MAP_KEYS.keycaps()

    def sheet(self, display: Display) -> Sequence[Hint]:
        """What the sheet shows."""
        return MAP_KEYS.on_sheet(None, display)

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Move the mark over the map, or take a pair."""
        match intent:
            case Action.LEAVE:
                return ScreenResult.CLOSE
            case Pick(rank):
                self.chosen = PAIRS[rank]
                return self._choose(NamedTransition.between(*self.chosen))
            case Action.CHOOSE:
                return self._choose(NamedTransition.between(*self.chosen))
            case Action() if intent in _STEPS:
                self.chosen = neighbour(self.chosen, *_STEPS[intent])
            case _:
                pass
        return ScreenResult.STAY

    def picture(self, canvas: Canvas) -> Picture:
        """The map."""
        hints = MAP_KEYS.at_foot(None, canvas.display)
        return map_picture(self._pairs, self.chosen, hints, canvas.width, canvas.height, canvas.measure)
