"""The map of every change of note, and the same as a list of what to drill first."""

from __future__ import annotations

import enum
from collections.abc import Callable, Sequence

from companion.schedule.crossing import NamedTransition
from companion.schedule.tune_use import NotePair
from companion.window.core.actions import Action, Intent, Pick
from companion.window.core.display import Display
from companion.window.core.hints import Group, Hint, KeyHint, KeyTable
from companion.window.core.list_screen import list_keys, moved
from companion.window.core.look_keys import MORE_KEY, PAGE_KEYS, leave_key
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Screen, ScreenResult, StillScreen
from companion.window.crossing.change_facts import PAIRS, changes_of_note
from companion.window.crossing.hardest_view import hardest_picture
from companion.window.crossing.map_view import map_picture
from fingering.notes import HARMONIC, Note, Tuning

_TO: KeyHint[object] = KeyHint((Action.BACK, Action.ON), lambda state, display: "to", "The note to go to.", Group.SEE)
_FROM: KeyHint[object] = KeyHint(
    (Action.TEMPO_DOWN, Action.TEMPO_UP), lambda state, display: "from", "The note to come from.", Group.SEE
)
_OPEN: KeyHint[object] = KeyHint(
    (Action.CHOOSE,), lambda state, display: "open", "Shows it finger by finger.", Group.SEE
)
_DRILL: KeyHint[object] = KeyHint(
    (Action.TUNE_MAP,),
    lambda state, display: "what to drill first",
    "Every change of note as a list, the hardest first.",
    Group.LEARN,
)
_AS_MAP: KeyHint[object] = KeyHint(
    (Action.TUNE_MAP,), lambda state, display: "as a map", "Every change of note on one map.", Group.SEE
)
MAP_KEYS: KeyTable[object] = KeyTable(
    foot=(_TO, _FROM, _OPEN, _DRILL, MORE_KEY), sheet=(_DRILL, *PAGE_KEYS, leave_key("back"), MORE_KEY)
)
LIST_KEYS: KeyTable[object] = list_keys("open", "back", _AS_MAP)
_STEPS = {
    Action.BACK: (0, -1),
    Action.ON: (0, 1),
    Action.TEMPO_UP: (-1, 0),
    Action.TEMPO_DOWN: (1, 0),
    Action.FASTER: (-1, 0),
    Action.SLOWER: (1, 0),
}


class Face(enum.Enum):
    """What the screen shows: the MAP, or the LIST of what to drill first."""

    MAP = "map"
    LIST = "list"


def neighbour(pair: NotePair, down: int, right: int) -> NotePair:
    """The pair `down` rows and `right` columns from `pair` on the map, over the empty diagonal and round the edges."""
    start, end = Note((pair[0] + down) % len(Note)), Note((pair[1] + right) % len(Note))
    return (start, end) if start is not end else neighbour((start, end), down, right)


class MapScreen(StillScreen):
    """Every change of note, as a map or as a list, with one marked in both.

    `choose` is called with the one that is taken, and its result is returned.
    """

    def __init__(
        self,
        choose: Callable[[NamedTransition], ScreenResult | Screen],
        chosen: NotePair = (Note.D, Note.E),
        tuning: Tuning = HARMONIC,
        face: Face = Face.MAP,
    ) -> None:
        self._choose = choose
        self.chosen = chosen
        self.face = face
        self._changes = changes_of_note(tuning)
        self._kept: tuple[tuple[Canvas, Face, NotePair], Picture] | None = None

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return self._keys().keycaps()

    def sheet(self, display: Display) -> Sequence[Hint]:
        """What the sheet shows."""
        return self._keys().on_sheet(None, display)

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Move the mark, take a change of note, or show the other face."""
        match intent:
            case Action.LEAVE if self.face is Face.MAP:
                return ScreenResult.CLOSE
            case Action.LEAVE:
                self.face = Face.MAP
            case Pick(rank):
                self.chosen = PAIRS[rank]
                return self._choose(NamedTransition.between(*self.chosen))
            case Action.CHOOSE:
                return self._choose(NamedTransition.between(*self.chosen))
            case Action.TUNE_MAP:
                self._turn()
            case Action():
                self._move(intent)
            case _:
                pass
        return ScreenResult.STAY

    def picture(self, canvas: Canvas) -> Picture:
        """The map, or the list. Kept until something changes, since it is asked for in every frame."""
        shown = (canvas, self.face, self.chosen)
        if self._kept is None or self._kept[0] != shown:
            self._kept = shown, self._drawn(canvas)
        return self._kept[1]

    def _drawn(self, canvas: Canvas) -> Picture:
        draw = map_picture if self.face is Face.MAP else hardest_picture
        return draw(self._changes, self.chosen, self._keys().at_foot(None, canvas.display), canvas)

    def _keys(self) -> KeyTable[object]:
        return MAP_KEYS if self.face is Face.MAP else LIST_KEYS

    def _turn(self) -> None:
        """Show the other face; the list begins with what to drill first."""
        if self.face is Face.MAP:
            self.face, self.chosen = Face.LIST, self._changes.drill_order[0]
        else:
            self.face = Face.MAP

    def _move(self, action: Action) -> None:
        if self.face is Face.MAP:
            if action in _STEPS:
                self.chosen = neighbour(self.chosen, *_STEPS[action])
            return
        order = self._changes.drill_order
        self.chosen = order[moved(order.index(self.chosen), len(order), action)]
