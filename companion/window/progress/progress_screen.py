"""What has become of a learner's practice; takes that were kept before are heard meanwhile, and stand there then."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from companion.files.lines import one_line
from companion.files.worker import Done, Failed, Worker, fault_line
from companion.lesson.progress.account import Account
from companion.window.core.actions import Action, Intent
from companion.window.core.display import Display
from companion.window.core.hints import Hint, KeyTable
from companion.window.core.list_screen import MOVE_KEY
from companion.window.core.look_keys import MORE_KEY, PAGE_KEYS, leave_key
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, ScreenResult, StillScreen
from companion.window.progress.progress_rows import progress_rows
from companion.window.progress.progress_view import ProgressState, progress_picture

PROGRESS_TABLE: KeyTable[object] = KeyTable((MOVE_KEY, leave_key("back"), MORE_KEY), (*PAGE_KEYS, MORE_KEY))
HEARING = "takes that were kept before are being heard …"


class ProgressScreen(StillScreen):
    """An account of practice.

    account: what there is at once. hear_earlier: hears what was kept before, in a thread, and returns the account then;
    None where there is nothing to be heard. let_go: called when the screen closes.
    """

    def __init__(
        self,
        account: Account,
        trouble: str = "",
        hear_earlier: Callable[[], Account] | None = None,
        let_go: Callable[[], None] = lambda: None,
    ) -> None:
        self._trouble = trouble
        self._let_go = let_go
        self._hearing: Worker[Account] | None = None
        self.state = _state(account, trouble)
        if hear_earlier:
            self._hearing = Worker(hear_earlier, "hearing earlier takes")
            self._hearing.start()
            self.state = replace(self.state, line=HEARING)

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return PROGRESS_TABLE.keycaps()

    def sheet(self, display: Display) -> Sequence[Hint]:
        """What the sheet shows."""
        return PROGRESS_TABLE.on_sheet(None, display)

    def act(self, intent: Intent) -> ScreenResult:
        """Scroll, or leave."""
        match intent:
            case Action.LEAVE:
                return ScreenResult.CLOSE
            case Action.TEMPO_DOWN | Action.SLOWER:
                self.state = replace(self.state, first=min(self.state.first + 1, max(0, len(self.state.rows) - 1)))
            case Action.TEMPO_UP | Action.FASTER:
                self.state = replace(self.state, first=max(0, self.state.first - 1))
        return ScreenResult.STAY

    def tick(self) -> None:
        """See whether what was kept before is heard by now."""
        match self._hearing.outcome if self._hearing else None:
            case Done(account):
                self.state = replace(_state(account, self._trouble), first=self.state.first)
                self._hearing = None
            case Failed(error):
                told = fault_line("earlier takes could not be heard", error, "eightholes log tries again")
                self.state = replace(self.state, line=told)
                self._hearing = None

    def wait(self) -> None:
        """Until what was kept before is heard."""
        if self._hearing:
            self._hearing.join()
            self.tick()

    def picture(self, canvas: Canvas) -> Picture:
        """The page."""
        return progress_picture(self.state, PROGRESS_TABLE.at_foot(None, canvas.display), canvas)

    def close(self) -> None:
        """Let the screen beneath go on."""
        self._let_go()


def _state(account: Account, trouble: str) -> ProgressState:
    name = one_line(account.learner)
    title = f"{name}: practice" if name else "Your practice"
    return ProgressState(title, f"Today: {account.today}", progress_rows(account), line=trouble)
