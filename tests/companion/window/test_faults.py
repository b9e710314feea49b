"""Whatever fails behind the window, it says so in one line and goes on; nothing that was kept is lost."""

from __future__ import annotations

import errno
import threading
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path

import pygame
import pytest

from companion.files.folders import OVERRIDE
from companion.listen.model.played import Played
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.takes.reading import list_takes, read_take
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.sound.settings import SoundSettings
from companion.sound.sounding_player import SoundingPlayer
from companion.window.core.actions import Action
from companion.window.core.display import Display, Print
from companion.window.core.screen import Canvas
from companion.window.core.theme import NIGHT
from companion.window.core.trouble_line import above_trouble, with_trouble
from companion.window.play.settings.preferences import Preferences, read_preferences, write_preferences
from companion.window.play.settings.settings_keeper import SettingsKeeper
from companion.window.playing_navigation import PLAYING_NAVIGATION, take_over
from companion.window.takes.take_screen import TakeScreen
from companion.window.takes.takes_screen import TakesScreen
from fingering.errors import UserError
from tests.companion.faults import DISK_ERRORS, Fault, break_call, break_writes, system_error
from tests.companion.sound.loudspeaker import open_loudspeaker
from tests.companion.sound.test_failing import BreakingDevice
from tests.companion.window import scenes
from tests.companion.window.driven_window import TUNE, Window, press
from tests.companion.window.lettered import lettering_for
from tests.companion.window.players import write_take

FAULTS: dict[str, Fault] = {
    **{errno.errorcode[number]: partial(system_error, number) for number in DISK_ERRORS},
    "no memory": MemoryError,
    "unforeseen": partial(RuntimeError, "what nobody foresaw"),
    "ended": partial(SystemExit, 1),
}


@pytest.fixture
def window(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Window]:
    """The window, drawn into memory; settings are written where the test looks for them."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    monkeypatch.setenv(OVERRIDE, str(tmp_path))
    opened = Window(tmp_path, lambda preferences: write_preferences(preferences, tmp_path / "settings.json"))
    yield opened
    opened.shell.close()


def test_a_loudspeaker_that_is_lost_costs_a_line(
    window: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The tune runs on to its end, and every screen tells it."""
    with open_loudspeaker(tmp_path, monkeypatch):
        player = SoundingPlayer(BreakingDevice(10), SoundSettings())
        window.screen.use(player)
        window.screen.act(Action.PLAY)
        window.until(lambda: "the sound has failed (error: the device is lost)" in window.words())
        at_s = window.screen.position_s()
        window.until(lambda: window.screen.position_s() > at_s + 0.2)
        press(pygame.K_o, "o")
        window.frames(2)
        assert "the sound has failed" in window.words()
        player.close()


@pytest.mark.parametrize("after", [0, 1], ids=["as its file is made", "as it is played"])
@pytest.mark.parametrize("name", FAULTS)
def test_a_take_that_cannot_be_written_is_kept_until_the_program_ends(
    window: Window, monkeypatch: pytest.MonkeyPatch, name: str, after: int
) -> None:
    """Whole: it stands in the list of takes, sounds, and is judged as one that was written."""
    break_writes(monkeypatch, FAULTS[name], after)
    sent = window.play_the_tune()
    window.until(lambda: bool(window.live.unkept))
    assert "this take is kept only until the program ends (" in window.words()
    press(pygame.K_r, "r")
    window.frames(2)
    assert isinstance(window.shell.top, TakesScreen)
    assert window.words().count("until the program ends") == 2  # the line, and the only row
    assert window.words().count("Nets") == 1
    press(pygame.K_RETURN, "\r")
    window.frames(2)
    opened = window.shell.top
    assert isinstance(opened, TakeScreen)
    assert len(opened.state.take.messages) == sent
    window.until(lambda: opened.state.review is not None)
    assert opened.state.review is not None
    assert opened.state.review.verdict is not None
    opened.act(Action.PLAY)
    at_s = opened.position_s()
    window.frames(5)
    assert opened.position_s() > at_s


def test_what_was_written_before_is_still_there(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """A take on the disk, one that is not, and one when there is room again: the line goes, all three are listed."""
    sent = [window.play_the_tune()]
    with monkeypatch.context() as broken:
        break_writes(broken, FAULTS["ENOSPC"], 3)
        sent.append(window.play_the_tune())
        window.until(lambda: bool(window.live.unkept))
    sent.append(window.play_the_tune())
    assert "until the program ends" not in window.words()
    press(pygame.K_r, "r")
    window.frames(2)
    assert window.words().count("Nets") == 3
    assert window.words().count("until the program ends") == 1
    window.shell.close()
    whole = [read_take(each.path) for each in list_takes(window.folder / "takes").takes]
    # The last note of each tune may still be held where the next one begins.
    assert [len(each.messages) - sent[1] in (0, 1) for each in window.live.unkept] == [True]
    kept = sorted(len(each.messages) for each in whole)[1:]
    assert all(sent[rank] <= count <= sent[rank] + 1 for rank, count in zip((0, 2), kept, strict=True))


def test_a_folder_that_cannot_be_read_hides_no_take_of_this_session(window: Window) -> None:
    """A file stands where the folder should be."""
    (window.folder / "takes").write_text("in the way")
    window.play_the_tune()
    window.until(lambda: bool(window.live.unkept))
    press(pygame.K_r, "r")
    window.frames(2)
    assert "the folder of takes cannot be read" in window.words()
    assert window.words().count("Nets") == 1


class Spoilt(tuple[Played, ...]):
    """Events that can be drawn and heard, but not judged: whoever reads them in the judging thread fails."""

    fault: Fault

    def __iter__(self) -> Iterator[Played]:
        if threading.current_thread().name == "reviewing a take":
            raise self.fault()
        return super().__iter__()


@pytest.mark.parametrize("name", FAULTS)
def test_a_review_that_fails_is_no_review_for_ever(window: Window, name: str) -> None:
    """It says so where it would say what was found, and can be tried again."""
    take = read_take(write_take(window.folder, TUNE, build_schedule(TUNE, Timing()), Timing(), DEFAULT_MAP))
    events = Spoilt(take.events)
    events.fault = FAULTS[name]
    opened = take_over(window.screen, replace(take, events=events))
    window.shell.put(opened)
    window.until(lambda: opened.state.review is not None)
    window.frames()
    assert "listening to the take" not in window.words()
    assert "judging this take failed (" in window.words()
    assert "press A to try again" in window.words()
    events.fault = partial(UserError, "still not", "wait")
    opened.act(Action.STRICTNESS)
    window.until(lambda: "still not; wait" in window.words())


@pytest.mark.parametrize("name", FAULTS)
def test_settings_that_cannot_be_written_cost_a_line(
    window: Window, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """The old ones stay; the next change is tried again, and then the line goes."""
    path = window.folder / "settings.json"
    write_preferences(Preferences(), path)
    old = path.read_bytes()
    window.frames(2)
    with monkeypatch.context() as broken:
        break_writes(broken, FAULTS[name])
        press(pygame.K_t, "t")
        window.until(lambda: "the settings cannot be kept" in window.words())
        assert path.read_bytes() == old
    press(pygame.K_b, "b")
    window.until(lambda: "the settings cannot be kept" not in window.words())
    assert read_preferences(path).display == Display(theme=NIGHT, print=Print.BIG)


def test_settings_are_not_written_by_the_thread_that_draws(tmp_path: Path) -> None:
    """A disk that hangs holds up no frame; once it goes on, the last settings are written, and only those."""
    hangs = threading.Event()
    written: list[tuple[str, Preferences]] = []

    def write(preferences: Preferences) -> None:
        hangs.wait()
        written.append((threading.current_thread().name, preferences))

    keeper = SettingsKeeper(write)
    chosen = [Preferences(sound=SoundSettings(chanter_level=level)) for level in (0.1, 0.2, 0.3, 0.4)]
    for each in chosen:
        keeper.keep(each)
    hangs.set()
    keeper.close()
    assert written == [("settings writer", chosen[1]), ("settings writer", chosen[3])]


def test_the_first_settings_are_as_they_were_read() -> None:
    """Nothing is written where nothing changed."""
    written: list[Preferences] = []
    keeper = SettingsKeeper(written.append)
    keeper.close()
    for _ in range(3):
        keeper.keep(Preferences())
    keeper.close()
    assert written == []


def test_where_no_thread_can_be_had_the_window_goes_on(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each of them says what it could not do."""

    def refuse(thread: threading.Thread) -> None:
        raise RuntimeError("can't start new thread")

    window.frames(2)
    monkeypatch.setattr(threading.Thread, "start", refuse)
    press(pygame.K_t, "t")
    window.frames(2)
    assert "the settings cannot be kept (RuntimeError: can't start new thread)" in window.words()
    sent = window.play_the_tune()
    assert "this take is kept only until the program ends" in window.words()
    assert "(and 2 more)" in window.words()
    assert [len(each.messages) for each in window.live.unkept] == [sent]


@pytest.mark.parametrize("call", ["fsync", "open"])
def test_the_end_of_a_take_that_fails_is_told(window: Window, monkeypatch: pytest.MonkeyPatch, call: str) -> None:
    """When its file is made, or only when it is to be safe on the disk."""
    break_call(monkeypatch, call, FAULTS["EIO"])
    sent = window.play_the_tune()
    window.until(lambda: bool(window.live.unkept))
    monkeypatch.undo()
    assert "this take is kept only until the program ends (input/output error)" in window.words()
    assert len(window.live.unkept[0].messages) == sent


TROUBLE = "this take is kept only until the program ends (no space left on device); make room and play again"


@pytest.mark.parametrize("size", [*scenes.SIZES, (640, 480)])
@pytest.mark.parametrize("print_size", scenes.PRINTS)
def test_the_line_covers_nothing_and_is_read_whole(window: Window, size: tuple[int, int], print_size: Print) -> None:
    """The screen ends where it begins, on every screen; targets too."""
    display = Display(print=print_size)
    whole = Canvas(*size, display, lettering_for(size, display))
    listed = PLAYING_NAVIGATION[Action.TAKES](window.screen)
    free = PLAYING_NAVIGATION[Action.FREE_PLAY](window.screen)
    assert listed is not None
    assert free is not None
    for screen in (window.screen, listed, free):
        canvas = above_trouble(TROUBLE, whole)
        alone = screen.picture(canvas)
        picture = with_trouble(alone, TROUBLE, whole)
        assert (picture.width, picture.height) == size
        rects = [scenes.label_rect(label, whole.measure) for label in scenes.labels(alone)]
        assert max(rect.bottom for rect in rects) <= canvas.height
        assert max(target.rect.bottom for target in picture.targets) <= canvas.height
        added = list(scenes.labels(picture))[len(rects) :]
        assert " ".join(label.text for label in added) == TROUBLE
        for rect in (scenes.label_rect(label, whole.measure) for label in added):
            assert canvas.height <= rect.y
            assert rect.bottom <= size[1]
            assert rect.right <= size[0]


def test_without_a_fault_the_picture_is_the_screens_own(window: Window) -> None:
    """To the mark."""
    whole = Canvas(800, 600, Display(), lettering_for((800, 600), Display()))
    assert above_trouble("", whole) is whole
    picture = window.screen.picture(whole)
    assert with_trouble(picture, "", whole) is picture
