"""The sheet as a screen: it lies over the picture of another, which goes on, and asks that one for what is chosen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from companion.window.core.actions import Action, Ask, Intent, Pick, TurnTo
from companion.window.core.caps import CAPS
from companion.window.core.display import Display
from companion.window.core.hints import Hint
from companion.window.core.marks import Picture
from companion.window.core.screen import Answer, Beneath, Canvas, Projected, Screen, ScreenResult
from companion.window.sheet.sheet_view import Sheet, sheet_marks, sheet_place

OWN_KEYS = (
    Action.LEAVE,
    Action.KEYS,
    Action.CHOOSE,
    Action.NEXT_GROUP,
    Action.TEMPO_UP,
    Action.TEMPO_DOWN,
    Action.BACK,
    Action.ON,
)


class SheetScreen:
    """All that can be done on the screen `beneath`; `ask` has it carry out an action, and the window its own part."""

    def __init__(self, beneath: Screen, display: Display, ask: Callable[[Screen, Action], Answer]) -> None:
        self.beneath = beneath
        self._ask = ask
        self.shown = Sheet(_rows_of(beneath, display), 0)

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """Its own keys, then those of the screen beneath that are left."""
        own = tuple((CAPS[action], action) for action in OWN_KEYS)
        taken = {cap for cap, _ in own}
        return (*own, *(key for key in self.beneath.keycaps() if key[0] not in taken))

    def projected(self, display: Display) -> Display:
        """As the screen beneath is shown."""
        return self.beneath.projected(display) if isinstance(self.beneath, Projected) else display

    def sheet(self, display: Display) -> Sequence[Hint]:
        """Nothing: this is the sheet."""
        return ()

    def act(self, intent: Intent) -> ScreenResult | Beneath:
        """Move along the rows, or ask the screen beneath for what a row or a key stands for."""
        actions = self.shown.hints[self.shown.rank].actions
        match intent:
            case Action.LEAVE | Action.KEYS:
                return ScreenResult.CLOSE
            case Action.TEMPO_UP:
                return self._mark(max(0, self.shown.rank - 1))
            case Action.TEMPO_DOWN:
                return self._mark(min(len(self.shown.hints) - 1, self.shown.rank + 1))
            case Action.NEXT_GROUP:
                groups = self.shown.groups
                return self._turn_to((groups.index(self.shown.group) + 1) % len(groups))
            case TurnTo(rank):
                return self._turn_to(rank)
            case Action.CHOOSE | Action.ON:
                return self._asked(actions[-1])
            case Action.BACK:
                return self._asked(actions[0])
            case Pick(rank):
                self._mark(rank)
                return self._asked(self.shown.hints[rank].actions[-1])
            case Ask(action):
                self._mark(next(rank for rank, hint in enumerate(self.shown.hints) if action in hint.actions))
                return self._asked(action)
            case Action():
                return self._asked(intent)
        return ScreenResult.STAY

    def _mark(self, rank: int) -> ScreenResult:
        self.shown = replace(self.shown, rank=rank)
        return ScreenResult.STAY

    def _turn_to(self, group: int) -> ScreenResult:
        return self._mark(self.shown.ranks(self.shown.groups[group])[0])

    def _asked(self, action: Action) -> ScreenResult | Beneath:
        if action is Action.KEYS:
            return ScreenResult.CLOSE
        result = self._ask(self.beneath, action)
        stays = result is ScreenResult.STAY and action is not Action.MOMENTS  # which are told over the picture
        return ScreenResult.STAY if stays else Beneath(result)

    def tick(self) -> Beneath | None:
        """The screen beneath goes on; what it answers is carried out for it, once the sheet is away."""
        answer = self.beneath.tick()
        return None if answer is None else Beneath(answer)

    def picture(self, canvas: Canvas) -> Picture:
        """The picture of the screen beneath, with the sheet over it."""
        hints = _rows_of(self.beneath, canvas.display)
        self.shown = Sheet(hints, min(self.shown.rank, len(hints) - 1))
        beneath = self.beneath.picture(canvas)
        marks, targets = sheet_marks(self.shown, canvas)
        return replace(beneath, moving=(*beneath.moving, *marks), targets=tuple(targets), foot=None)

    def press(self, x: float, y: float, canvas: Canvas) -> Intent | None:
        """A click beside the sheet closes it."""
        return None if sheet_place(self.shown, canvas).holds(x, y) else Action.LEAVE

    def close(self) -> None:
        """Nothing is held; the screen beneath stays."""


def _rows_of(screen: Screen, display: Display) -> tuple[Hint, ...]:
    """What the sheet shows of a screen: all but the key that opened it."""
    return tuple(hint for hint in screen.sheet(display) if Action.KEYS not in hint.actions)
