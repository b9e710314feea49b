"""The list of tunes to choose from."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from companion.score.model import Tune
from companion.window.actions import Action, Intent, Pick
from companion.window.hints import PAGE_KEYS, KeyHint, hint_marks, hint_rows, said
from companion.window.layout import footer_row_height
from companion.window.marks import Anchor, Label, Mark, Picture, Rect, Role, Style, Target, Wash
from companion.window.screen import Canvas, Screen, Turn

TUNES_KEYS: tuple[KeyHint[object], ...] = (
    KeyHint((("↓", Action.TEMPO_DOWN), ("↑", Action.TEMPO_UP)), lambda state, display: "move"),
    KeyHint((("Enter", Action.CHOOSE),), lambda state, display: "choose"),
    *PAGE_KEYS,
    KeyHint((("Esc", Action.LEAVE),), lambda state, display: "back"),
)


class TunesScreen:
    """A shelf of tunes; `take` is called with the rank of the chosen one."""

    def __init__(self, shelf: Sequence[Tune], current: int, take: Callable[[Intent], object]) -> None:
        self._shelf = shelf
        self._rank = current
        self._take = take

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return tuple(key for hint in TUNES_KEYS for key in hint.keys)

    def act(self, intent: Intent) -> Turn | Screen:
        """Move along the shelf, or take a tune and go back."""
        match intent:
            case Action.TEMPO_UP | Action.FASTER:
                self._rank = max(0, self._rank - 1)
            case Action.TEMPO_DOWN | Action.SLOWER:
                self._rank = min(len(self._shelf) - 1, self._rank + 1)
            case Action.CHOOSE:
                self._take(Pick(self._rank))
                return Turn.BENEATH
            case Pick():
                self._take(intent)
                return Turn.BENEATH
            case Action.LEAVE:
                return Turn.BENEATH
            case _:
                pass
        return Turn.STAY

    def tick(self) -> None:
        """Nothing moves here."""

    def press(self, x: float, y: float, canvas: Canvas) -> Intent | None:
        """Only the tunes can be clicked."""
        return None

    def close(self) -> None:
        """Nothing is held."""

    def picture(self, canvas: Canvas) -> Picture:
        """The shelf, the chosen tune marked; a long shelf moves so that it stays in sight."""
        line = canvas.measure.height(Style.TEXT)
        margin = max(14.0, canvas.width * 0.026)
        top = margin * 0.35 + canvas.measure.height(Style.LARGE)
        row = max(28.0, line * 1.7)
        hints = said(TUNES_KEYS, None, canvas.display)
        foot = hint_rows(hints, canvas.width - 2 * margin, canvas.measure) * footer_row_height(canvas.measure)
        footer = Rect(margin, round(canvas.height - foot - margin * 0.4), canvas.width - 2 * margin, foot)
        rows = max(1, int((footer.y - top - line * 0.5) // row))
        first = min(max(0, self._rank - rows // 2), max(0, len(self._shelf) - rows))
        marks, targets = hint_marks(hints, footer, canvas.measure)
        marks.append(Label(margin, margin * 0.35 + canvas.measure.height(Style.LARGE) * 0.46, "Tunes", Style.LARGE))
        for rank in range(first, min(first + rows, len(self._shelf))):
            rect = Rect(margin, top + (rank - first) * row, canvas.width - 2 * margin, row)
            targets.append(Target(rect, Pick(rank)))
            marks += self._row(rank, rect, margin)
        return Picture(canvas.width, canvas.height, tuple(marks), (), tuple(targets))

    def _row(self, rank: int, rect: Rect, margin: float) -> list[Mark]:
        tune = self._shelf[rank]
        chosen = rank == self._rank
        middle = rect.y + rect.height / 2
        about = ", ".join(filter(None, (tune.rhythm, tune.meter.text)))
        ground: list[Mark] = [Wash(rect, Role.WASH, 6.0)] if chosen else []
        style = Style.STRONG if chosen else Style.TEXT
        mark: list[Mark] = [Label(rect.x + margin * 0.3, middle, "›", Style.STRONG, Role.GUIDE)] if chosen else []
        return [
            *ground,
            *mark,
            Label(rect.x + margin * 0.9, middle, tune.title, style),
            Label(rect.right - margin * 0.5, middle, about, Style.TEXT, Role.QUIET, Anchor.RIGHT),
        ]
