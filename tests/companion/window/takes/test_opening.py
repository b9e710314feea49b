"""A take opened from the list is laid beside its own tune, or says that it is of another; the window goes on."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from companion.hearing.takes.recordings import RecordingFile
from companion.hearing.takes.sound_take import recorded_take
from companion.midi.takes.heading import TuneIdentity
from companion.midi.takes.reading import Listing
from companion.score.formats.abc_text.writer import abc_of
from companion.score.formats.books import read_tunes
from companion.score.model import Tune
from companion.score.place import Place
from companion.sound.player import SilentPlayer
from companion.window.core.actions import Action
from companion.window.core.display import Display
from companion.window.core.screen import Beneath, ScreenResult, StillScreen
from companion.window.sheet.sheet_screen import SheetScreen
from companion.window.takes.opening.take_opening import TakeAndTune, TakeOpening, open_listed
from companion.window.takes.opening.tunes_near import TunesNear
from companion.window.takes.take_screen import TakeScreen
from companion.window.takes.take_state import open_take
from companion.window.takes.takes_screen import TakesScreen
from tests.companion.hearing.takes.short import heard_short, short_recording
from tests.companion.window import scenes
from tests.companion.window.players import BEGAN, Clock
from tests.companion.window.takes.reviewing import ONE_SLIP, canvas, slipping_take, words_of

OTHER = "X:1\nT:Another Tune\nM:2/4\nL:1/8\nK:HP\nA2 B2 | c2 d2 | e2 f2 | d2 A2 |\n"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a recording, heard before, and a file of another tune."""
    heard_short()
    made = tmp_path_factory.mktemp("lesson")
    short_recording().write(made / "monday.wav")
    (made / "another.abc").write_text(OTHER, encoding="utf-8")
    return made


def listed(path: Path) -> RecordingFile:
    """A recording as it stands in the list."""
    return RecordingFile(path, datetime(2026, 1, 2, tzinfo=UTC))


def file_of(tune: Tune, path: Path) -> Path:
    """A tune as a file."""
    path.write_text(abc_of(tune), encoding="utf-8")
    return path


def opened(opening: TakeAndTune, near: TunesNear) -> TakeScreen:
    """The review of what was opened, once it was judged."""
    tunes = (*((opening.tune,) if opening.tune else ()), *near.tunes)
    screen = TakeScreen(open_take(opening.take, tunes), SilentPlayer(Clock()), lambda: None, near=near)
    screen.finish_review()
    return screen


def test_a_recording_is_of_the_file_that_has_its_name(folder: Path, tmp_path: Path) -> None:
    """Whichever tune is open; and where one file of tunes alone lies beside it, it is of that."""
    own = short_recording().tune
    recording = short_recording().write(tmp_path / "Monday.wav")
    near = TunesNear((scenes.tune(),))
    assert open_listed(listed(recording), near).tune is near.tunes[0]
    file_of(own, tmp_path / "anything.abc")
    assert open_listed(listed(recording), near).take.heading.shown_title == own.title
    (tmp_path / "another.abc").write_text(OTHER, encoding="utf-8")
    assert open_listed(listed(recording), near).tune is near.tunes[0]
    (tmp_path / "anything.abc").rename(tmp_path / "Monday.abc")
    assert open_listed(listed(recording), near).take.heading.shown_title == own.title
    screen = TakesScreen(Listing((), ()), "~", lambda take: None, (), (listed(recording),), "A Tune")
    assert "a recording, beside Monday.abc" in words_of(screen.picture(canvas((1920, 1080))))


def test_beside_another_tune_it_is_not_judged_but_its_own_is_offered(folder: Path) -> None:
    """In words, with a button; Enter lays it beside its own tune, by which it is judged as if it had been opened so."""
    own, open_now = short_recording().tune, read_tunes(folder / "another.abc").tunes[0]
    file_of(replace(own, title="The Own"), folder / "the-own.abc")
    near = TunesNear((open_now,))
    screen = opened(open_listed(listed(folder / "monday.wav"), near), near)
    review = screen.state.review
    assert review is not None
    assert review.verdict is None
    told = words_of(screen.picture(canvas()))
    assert "this sounds like The Own, not like Another Tune, so it is not judged" in " ".join(told.split())
    assert "lay it beside The Own" in told
    screen.act(Action.CHOOSE)
    screen.finish_review()
    review = screen.state.review
    assert review is not None
    assert review.verdict is not None
    assert review.matters
    assert "Take of The Own" in words_of(screen.picture(canvas())) or screen.state.take.heading.shown_title == "The Own"
    beside_own = opened(TakeAndTune(recorded_take(folder / "monday.wav", own), own), near)
    assert beside_own.state.review is not None
    assert beside_own.state.review.findings == review.findings


def test_a_take_is_of_the_tune_that_its_heading_names(tmp_path: Path) -> None:
    """Found in the file that it names, and in files that were opened lately; not by its title alone."""
    tune, take = slipping_take(ONE_SLIP)
    path = file_of(tune, tmp_path / "its.abc")
    written = read_tunes(path).tunes[0]
    identity = replace(TuneIdentity.of(written), file=str(path))
    elsewhere = replace(identity, file="//another computer/its.abc")
    near = TunesNear((scenes.tune(),))
    assert near.of_identity(identity) == written
    assert near.of_identity(elsewhere) is None
    assert TunesNear((scenes.tune(),), (tmp_path / "gone.abc", path)).of_identity(elsewhere) == written
    assert near.of_identity(replace(identity, content="0")) is None
    chosen = replace(take, heading=replace(take.heading, tune=identity))
    assert open_listed(chosen, near).tune == written


def test_only_so_much_of_a_folder_is_looked_through(tmp_path: Path) -> None:
    """What is too large is let be, and the tunes at hand come first; nothing is read twice."""
    (tmp_path / "a.abc").write_text(OTHER, encoding="utf-8")
    (tmp_path / "b.abc").write_text(OTHER + "%" * 1_000_000, encoding="utf-8")
    at_hand = replace(scenes.tune(), place=Place(str(tmp_path / "a.abc"), 1, 1))
    assert [each.title for each in TunesNear((at_hand,)).others(None)] == [at_hand.title]
    away = replace(at_hand, place=Place("", 1, 1))
    assert [each.title for each in TunesNear((away,)).others(tmp_path / "x.wav")] == [at_hand.title, "Another Tune"]


def test_what_was_asked_for_on_the_sheet_opens_once_it_is_there(folder: Path) -> None:
    """The sheet goes then, and the screen is not lost."""
    shown, near = Empty(), TunesNear((scenes.tune(),))
    begun: list[TakeOpening] = []

    def begin(take: object) -> TakeOpening:
        assert isinstance(take, RecordingFile)
        begun.append(TakeOpening(take, near, lambda opened: shown))  # type: ignore[arg-type, return-value]
        return begun[-1]

    screen = TakesScreen(Listing((), ()), "~", begin, (), (listed(folder / "monday.wav"),))
    screen._opening = begin(screen._takes[0])
    begun[-1]._worker.join()
    sheet = SheetScreen(screen, Display(), lambda beneath, action: ScreenResult.STAY)
    assert sheet.tick() == Beneath(shown)  # type: ignore[arg-type]
    assert sheet.tick() is None


class Empty(StillScreen):
    """A screen that stands for the one that shows what was opened."""


def test_while_a_take_is_opened_the_list_says_so_and_goes_on(tmp_path: Path, folder: Path) -> None:
    """What cannot be opened is told there; a library that is loaded, or a file that is read, holds no frame up."""
    near, shown = TunesNear((scenes.tune(),)), Empty()
    recordings = (listed(folder / "monday.wav"), RecordingFile(tmp_path / "gone.m4a", BEGAN))
    begun: list[TakeOpening] = []

    def begin(take: object) -> TakeOpening:
        assert isinstance(take, RecordingFile)
        begun.append(TakeOpening(take, near, lambda opened: shown))  # type: ignore[arg-type, return-value]
        return begun[-1]

    screen = TakesScreen(Listing((), ()), "~", begin, (), recordings)
    gone = next(rank for rank, each in enumerate(screen._takes) if each.path == tmp_path / "gone.m4a")
    answer = screen.choose(gone)
    begun[-1]._worker.join()
    assert answer is ScreenResult.STAY
    assert screen.tick() is None
    assert "gone.m4a" in words_of(screen.picture(canvas()))
    answer = screen.choose(1 - gone)
    begun[-1]._worker.join()
    assert any(isinstance(each, Empty) for each in (answer, screen.tick()))
