"""What a teacher would say after a take: what to mend first, with a drill for each, and what went well."""

from __future__ import annotations

from collections.abc import Callable

from companion.listen.verdict.verdict import Verdict
from companion.window.core.actions import Action, Intent
from companion.window.core.hints import Group, KeyHint, KeyTable
from companion.window.core.list_screen import ListScreen, list_keys
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Screen, ScreenResult
from companion.window.takes.verdict_view import MY_SETTING, Stop, stops_of, verdict_picture

SETTING_KEY: KeyHint[object] = KeyHint(
    (Action.OWN_SETTING,),
    lambda state, display: MY_SETTING,
    "Notes that you play otherwise on purpose.",
    Group.LEARN,
)
VERDICT_KEYS: KeyTable[object] = list_keys("practise it", "back to the take", sheet=(SETTING_KEY,))


class VerdictScreen(ListScreen):
    """The verdict; `drill` is called with the rank of the thing to mend that is taken, and says what follows.

    say_setting: says that what is played otherwise is the learner's own setting.
    """

    keys = VERDICT_KEYS

    def __init__(
        self,
        verdict: Verdict,
        drill: Callable[[int], ScreenResult | Screen],
        say_setting: Callable[[], ScreenResult] = lambda: ScreenResult.STAY,
    ) -> None:
        super().__init__()
        self._say_setting = say_setting
        self._verdict = verdict
        self._drill = drill
        self._stops = stops_of(verdict)

    @property
    def marked(self) -> Stop | None:
        """What is marked; None where nothing is said at all."""
        return self._stops[self.rank] if self._stops else None

    def row_count(self) -> int:
        """How many things are said that can be marked."""
        return len(self._stops)

    def choose(self, rank: int) -> ScreenResult | Screen:
        """Mark what is chosen, and drill it if it is to be mended."""
        self.rank = rank
        marked = self.marked
        return self._drill(marked.matter) if marked and marked.matter is not None else ScreenResult.STAY

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Say that it is one's own setting where the verdict asks about one; else as any list."""
        if intent is Action.OWN_SETTING:
            asks = any(each.button for each in self._stops)
            return self._say_setting() if asks else ScreenResult.STAY
        return super().act(intent)

    def picture(self, canvas: Canvas) -> Picture:
        """The page on which what is marked stands."""
        can_be_drilled = self.marked is not None and self.marked.matter is not None
        foot = self.at_foot(canvas.display)
        hints = tuple(each for each in foot if can_be_drilled or Action.CHOOSE not in each.actions)
        return verdict_picture(self._verdict, self.rank, hints, canvas)
