"""The list of takes, the latest first."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from companion.files.lines import one_line
from companion.midi.takes.reading import Listing, Summary, Take
from companion.window.core.actions import Action, Intent, Pick
from companion.window.core.hints import PAGE_KEYS, KeyHint, said
from companion.window.core.list_view import Listed, ListRow, list_picture, moved
from companion.window.core.marks import Picture, Role
from companion.window.core.screen import Canvas, Screen, ScreenResult
from companion.window.live.input_messages import short_name
from fingering.errors import UserError

TAKES_KEYS: tuple[KeyHint[object], ...] = (
    KeyHint((("↓", Action.TEMPO_DOWN), ("↑", Action.TEMPO_UP)), lambda state, display: "move"),
    KeyHint((("Enter", Action.CHOOSE),), lambda state, display: "play it back"),
    *PAGE_KEYS,
    KeyHint((("Esc", Action.LEAVE),), lambda state, display: "back"),
)


Listable = Summary | Take
"""A take that the folder holds, or one that only this program holds."""


class TakesScreen:
    """Takes to choose from; `play_back` makes the screen of the chosen one, None where it cannot.

    where: the folder, as people read it. unkept: takes that could not be written, which stand among the others, and in
    place of what there is of them in the folder.
    """

    def __init__(
        self, listing: Listing, where: str, play_back: Callable[[Listable], Screen | None], unkept: Sequence[Take] = ()
    ) -> None:
        in_part = {take.path for take in unkept}
        takes: list[Listable] = [*unkept, *(take for take in reversed(listing.takes) if take.path not in in_part)]
        self._takes = tuple(sorted(takes, key=lambda take: take.heading.began, reverse=True))
        self._where = where
        self._problem = _told(listing.problems)
        self._play_back = play_back
        self._rank = 0

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return tuple(key for hint in TAKES_KEYS for key in hint.keys)

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Move along the list, or play a take back."""
        match intent:
            case Action.LEAVE:
                return ScreenResult.CLOSE
            case Action.CHOOSE if self._takes:
                return self._play_back(self._takes[self._rank]) or ScreenResult.STAY
            case Pick(rank) if rank < len(self._takes):
                self._rank = rank
                return self._play_back(self._takes[rank]) or ScreenResult.STAY
            case Action():
                self._rank = moved(self._rank, len(self._takes), intent)
        return ScreenResult.STAY

    def tick(self) -> None:
        """Nothing moves here."""

    def picture(self, canvas: Canvas) -> Picture:
        """The list."""
        line = self._problem or (f"kept in {self._where}" if self._takes else f"no takes yet in {self._where}")
        role = Role.FAULT if self._problem else Role.QUIET
        hints = said(TAKES_KEYS, None, canvas.display)
        return list_picture(Listed("Takes", tuple(map(_row, self._takes)), self._rank, hints, line, role), canvas)

    def press(self, x: float, y: float, canvas: Canvas) -> Intent | None:
        """Only rows and keys can be clicked."""
        return None

    def close(self) -> None:
        """Nothing is held."""


def _told(problems: Sequence[UserError]) -> str:
    """The first of the files that are no takes, and how many more there are; "" for none."""
    more = f" (and {len(problems) - 1} more)" if len(problems) > 1 else ""
    return f"{one_line(str(problems[0]))}{more}" if problems else ""


def _row(take: Listable) -> ListRow:
    heading = take.heading
    slow = f", {heading.timing.slow_down:g}× slower" if heading.timing and heading.timing.slow_down > 1 else ""
    unkept = ", until the program ends" if isinstance(take, Take) else ""
    length_s = take.end_s + heading.tune_starts_s
    return ListRow(
        f"{heading.began.astimezone():%Y-%m-%d %H:%M}  {heading.shown_title}",
        f"{length_s:.0f} s{slow}, on {short_name(heading.source)}{unkept}",
    )
