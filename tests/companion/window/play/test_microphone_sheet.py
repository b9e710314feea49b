"""The sheet while a microphone is listened to."""

from __future__ import annotations

from pathlib import Path

from companion.schedule.timing import Timing
from companion.window.core.actions import Action
from companion.window.core.display import Display
from companion.window.play.free_screen import FreeScreen
from companion.window.program import Opening, play_screen
from tests.companion.window import scenes
from tests.companion.window.live.microphone.wired import WiredDesk


def test_how_loud_your_playing_sounds_is_not_asked_where_a_microphone_hears_it(tmp_path: Path) -> None:
    """What it hears is never sounded; as soon as nothing is listened to, the row is back, on each screen."""
    desk = WiredDesk(tmp_path)
    screen = play_screen(Opening((scenes.tune(),), scenes.tune(), Timing(), playing=False), desk.live)
    screens = (screen, FreeScreen(screen))

    def asked() -> list[bool]:
        rows = ({action for hint in each.sheet(Display()) for action in hint.actions} for each in screens)
        return [Action.LIVE_LEVEL in row for row in rows]

    assert asked() == [False, False]
    desk.live.listen_to(None)
    assert asked() == [True, True]
    desk.close()
