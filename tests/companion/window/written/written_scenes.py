"""A march that was written down with a slip in it, on the screen that shows it, in the states that look otherwise."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

from companion.notate.notating import Given, NotatedTune
from companion.score.model import Tune
from companion.sound.player import SilentPlayer
from companion.sound.settings import SoundSettings
from companion.window.core.actions import Action
from companion.window.core.screen import Screen, ScreenResult
from companion.window.staff.staff_line import StaffSource
from companion.window.written.drafts import DraftKeeper
from companion.window.written.save_screen import SaveScreen
from companion.window.written.written_screen import WrittenScreen
from fingering.errors import UserError
from tests.companion.notate.playing import IN_COMMON_TIME, MARCH, take_of, tune_of, written
from tests.companion.window.players import Clock
from tests.companion.window.staff.plain_staff import PlainStaff

SLIPPED = MARCH.replace("{gfg}f2", "{gfA}f2").replace("{ag}a2", "{agf}a2")
"""Two embellishments with a slip each, both times."""

PATIENCE_S = 20.0


def march() -> NotatedTune:
    """The march as it is written down: each slip is unsure."""
    return written(take_of(tune_of(SLIPPED)), IN_COMMON_TIME)


def saving(tune: Tune, text: str) -> Screen:
    """The screen on which it is saved, for pictures."""
    return SaveScreen(tune.title, (Path("/tunes"), Path("/home")), lambda title: text, lambda path: None, _stay)


def _stay(path: Path) -> ScreenResult:
    return ScreenResult.STAY


def shown(
    write: Callable[[Given], NotatedTune] = lambda given: march(),
    *,
    save: Callable[[Tune, str], Screen] = saving,
    drafts: DraftKeeper | None = None,
    staff: StaffSource | None = None,
    clock: Clock | None = None,
    let_go: Callable[[], None] = lambda: None,
) -> WrittenScreen:
    """The screen, once the tune is written down or was refused."""
    march()  # kept, so that nobody waits for it
    player = SilentPlayer(clock or Clock())
    screen = WrittenScreen("A test", write, player, SoundSettings(), save, let_go, drafts, staff)
    wait_for(screen)
    return screen


def wait_for(screen: WrittenScreen) -> None:
    """Until what is being written down is there."""
    until_s = time.monotonic() + PATIENCE_S
    while screen.is_writing and time.monotonic() < until_s:
        time.sleep(0.005)
        screen.tick()
    assert not screen.is_writing


def still_writing() -> Screen:
    """The screen while its tune is not there yet; its thread ends soon after."""
    goes_on = threading.Event()

    def write(given: Given) -> NotatedTune:
        goes_on.wait(0.2)
        return march()

    march()
    return WrittenScreen("A test", write, SilentPlayer(Clock()), SoundSettings(), saving, lambda: None)


def refused(given: Given) -> NotatedTune:
    """Too little was played."""
    raise UserError("too little was played to be written down", "play a phrase at least")


def after(screen: WrittenScreen, *actions: Action) -> WrittenScreen:
    """The screen once those were carried out."""
    for action in actions:
        screen.act(action)
    return screen


def saved_at(screen: WrittenScreen) -> Screen:
    """The screen on which its tune is saved."""
    answer = screen.act(Action.TUNE_SAVE)
    assert not isinstance(answer, ScreenResult)
    return answer


def written_screens() -> Mapping[str, Callable[[], Screen]]:
    """Each is made where it is asked for."""
    return {
        "written down": shown,
        "written down, on a staff": lambda: shown(staff=PlainStaff()),
        "written down, the other reading": lambda: after(shown(staff=PlainStaff()), Action.ON),
        "written down, nothing unsure": lambda: shown(lambda given: replace(march(), doubts=())),
        "written down, all decided": lambda: after(shown(), Action.CHOOSE, Action.CHOOSE),
        "being written down": still_writing,
        "not written down": lambda: shown(refused),
        "saving a tune": lambda: saved_at(shown()),
    }
