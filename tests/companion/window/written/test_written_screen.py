"""What was played becomes a tune on the screen: places decided by one key each, then saved; nothing is lost."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from companion.notate.notating import Given, NotatedTune
from companion.score.abc.tunebook import read_abc_text
from companion.window.core.actions import Action, Typed
from companion.window.core.display import Display
from companion.window.core.marks import Arrow, Frame, Label, Role
from companion.window.core.screen import Beneath, Canvas, Screen, ScreenResult
from companion.window.written.drafts import DraftKeeper, free_path
from companion.window.written.save_screen import SaveScreen
from companion.window.written.written_screen import WrittenScreen
from companion.window.written_navigation import titled
from fingering.notes import Note
from tests.companion.window.lettered import lettering_for
from tests.companion.window.players import Clock
from tests.companion.window.staff.plain_staff import PlainStaff
from tests.companion.window.written.written_scenes import after, march, refused, shown, still_writing, wait_for

SIZE = (1280, 720)
BEGAN = datetime(2026, 1, 2, 20, 15, 3, tzinfo=UTC)
SLIP = (Note.HIGH_G, Note.F, Note.LOW_A)
DOUBLING = (Note.HIGH_G, Note.F, Note.HIGH_G)


def canvas() -> Canvas:
    """A window."""
    return Canvas(*SIZE, Display(), lettering_for(SIZE, Display()))


def words(screen: Screen) -> str:
    """All words of its picture."""
    return " ".join(mark.text for mark in screen.picture(canvas()).marks if isinstance(mark, Label))


def graces_at_doubt(screen: WrittenScreen, rank: int) -> tuple[Note, ...]:
    """The gracenotes that stand at a place that was unsure."""
    assert screen.state is not None
    return screen.state.tune.notes[screen.state.ranks[rank]].gracenotes


def slip_rank(screen: WrittenScreen) -> int:
    """Which of its doubts is the F doubling with a slip."""
    assert screen.state is not None
    return next(i for i, each in enumerate(screen.state.doubts) if "{gfA}" in each.words)


def to_slip(screen: WrittenScreen) -> WrittenScreen:
    """The screen with that doubt in hand."""
    return after(screen, *[Action.TEMPO_DOWN] * slip_rank(screen))


def test_one_key_takes_the_other_reading_and_sounds_its_bar() -> None:
    """What was played, for the doubling that is written: the tune changes there alone, and its bar goes round."""
    screen = to_slip(shown())
    assert graces_at_doubt(screen, slip_rank(screen)) == DOUBLING
    after(screen, Action.ON)
    assert screen.state is not None
    assert graces_at_doubt(screen, slip_rank(screen)) == SLIP
    changed = [
        one.rank
        for one, other in zip(screen.state.tune.notes, march().tune.notes, strict=True)
        if one.gracenotes != other.gracenotes
    ]
    assert changed == [screen.state.doubt.rank if screen.state.doubt else None]
    play = screen.state.play
    assert play.playing
    assert play.span is not None
    onset_s = next(
        play.schedule.note_onsets_s[i] for i, each in enumerate(play.schedule.played) if each.note.rank == changed[0]
    )
    assert play.span.holds(onset_s)
    after(screen, Action.BACK)
    assert graces_at_doubt(screen, slip_rank(screen)) == DOUBLING


def test_one_key_accepts_and_goes_on_to_what_is_not_decided_yet() -> None:
    """Until nothing is left; then the same key saves."""
    screen = shown()
    assert screen.state is not None
    count = len(screen.state.doubts)
    assert count >= 2
    assert screen.state.left == count
    for decided in range(1, count + 1):
        assert screen.act(Action.CHOOSE) is ScreenResult.STAY
        assert screen.state.left == count - decided
    assert isinstance(screen.act(Action.CHOOSE), SaveScreen)


def test_time_passes_in_the_picture_while_a_place_sounds() -> None:
    """The clock that is passed in moves it."""
    clock = Clock()
    screen = after(shown(clock=clock), Action.ON)
    before_s = screen.position_s()
    clock.now_s += 0.25
    assert screen.position_s() == pytest.approx(before_s + 0.25, abs=0.01)


def test_unsure_places_are_marked_by_shape_and_sign_and_told_in_words() -> None:
    """On the staff a frame around the head with an arrow over it, in the lanes a ringed question mark; once decided,
    the arrow goes and the words say so."""
    screen = to_slip(shown(staff=PlainStaff()))
    assert screen.state is not None
    before = screen.picture(canvas())
    frames = [mark for mark in before.marks if isinstance(mark, Frame) and mark.role is Role.FAULT]
    assert frames
    assert [mark for mark in before.marks if isinstance(mark, Arrow) and mark.role is Role.FAULT]
    assert "was played in place of the" in words(screen)
    assert "not decided yet" in words(screen)
    after(screen, Action.TEMPO_UP)
    assert "?" in words(screen)
    after(to_slip(screen), Action.ON)
    assert "reading 2 of 2: decided" in words(screen)


def test_where_nothing_is_unsure_no_key_leads_to_unsure_places() -> None:
    """Neither at the foot nor on the sheet; Enter saves the tune."""
    screen = shown(lambda given: replace(march(), doubts=()))
    offered = {action for hint in screen.sheet(Display()) for action in hint.actions}
    offered |= {each.intent for each in screen.picture(canvas()).targets if isinstance(each.intent, Action)}
    assert not offered & {Action.ON, Action.BACK, Action.TEMPO_UP, Action.TEMPO_DOWN}
    assert {Action.CHOOSE, Action.METRE} <= offered
    assert "save it" in words(screen)


def test_another_metre_is_written_down_anew() -> None:
    """The next of those that there are; what was given is what is asked for."""
    asked: list[Given] = []

    def write(given: Given) -> NotatedTune:
        asked.append(given)
        return march()

    screen = shown(write)
    screen.act(Action.METRE)
    wait_for(screen)
    screen.act(Action.BEATS_TWICE)
    wait_for(screen)
    assert asked[0] == Given()
    assert asked[1].meter is not None
    assert asked[1].meter.text == "C|"
    assert asked[2].beats_per_minute == pytest.approx(140.0, rel=0.02)


def test_while_it_is_written_down_the_window_goes_on_and_can_be_left() -> None:
    """It says what is being done; keys that need a tune do nothing."""
    screen = still_writing()
    assert "being written down" in words(screen)
    assert screen.act(Action.CHOOSE) is ScreenResult.STAY
    assert screen.act(Action.LEAVE) is ScreenResult.CLOSE


def test_what_cannot_be_written_down_is_said() -> None:
    """With what to do."""
    assert "too little was played to be written down; play a phrase at least" in words(shown(refused))


def test_a_draft_is_kept_all_along_and_goes_once_the_tune_is_saved(tmp_path: Path) -> None:
    """It holds what is decided, and above what is not a comment; closing waits for it."""
    drafts = DraftKeeper(tmp_path, BEGAN)
    screen = after(to_slip(shown(drafts=drafts)), Action.ON)
    screen.close()
    (path,) = (tmp_path / "drafts").iterdir()
    text = path.read_text(encoding="utf-8")
    assert "{gfA}f" in text
    assert text.count("% unsure") == screen.state.left if screen.state else False
    assert not read_abc_text(text).problems
    drafts.discard()
    assert not list((tmp_path / "drafts").iterdir())


def test_a_draft_that_cannot_be_kept_costs_one_line(tmp_path: Path) -> None:
    """The tune is still there to be saved elsewhere."""
    (tmp_path / "file").write_text("in the way")
    drafts = DraftKeeper(tmp_path / "file", BEGAN)
    screen = shown(drafts=drafts)
    drafts.close()
    assert "the draft cannot be kept" in words(screen)
    assert screen.state is not None


def test_the_player_is_given_back() -> None:
    """When the screen closes, whatever it played."""
    given_back: list[bool] = []
    screen = after(shown(let_go=lambda: given_back.append(True)), Action.ON)
    screen.close()
    assert given_back == [True]


def saver(folder: Path, opened: list[Path]) -> SaveScreen:
    """The screen that saves the march, with a folder of the program's and another."""
    screen = shown()
    assert screen.state is not None
    text = screen.text(screen.state)

    def opens(path: Path) -> Beneath:
        opened.append(path)
        return Beneath(ScreenResult.STAY)

    ours, other = folder / "tunes", folder / "mine"
    other.mkdir()
    return SaveScreen("A test", (ours, other), lambda title: titled(text, title), lambda path: None, opens)


def test_it_is_saved_under_its_title_and_can_be_practised_at_once(tmp_path: Path) -> None:
    """In the program's own folder, which is made, by Enter; Enter once more opens the file."""
    opened: list[Path] = []
    screen = saver(tmp_path, opened)
    for _ in range(len("A test")):
        screen.act(Action.ERASE)
    for letter in "The Pier":
        screen.act(Typed(letter))
    screen.act(Action.CHOOSE)
    path = tmp_path / "tunes" / "The Pier.abc"
    (tune,) = read_abc_text(path.read_text(encoding="utf-8")).tunes
    assert tune.title == "The Pier"
    assert [note[1:4] for note in tune.notes] == [note[1:4] for note in march().tune.notes]
    assert screen.act(Action.CHOOSE) == Beneath(ScreenResult.STAY)
    assert opened == [path]


def test_it_is_saved_in_a_folder_of_ones_own_and_nothing_is_written_over(tmp_path: Path) -> None:
    """A folder within the second one; a file of that name that is there already stays as it is."""
    screen = saver(tmp_path, [])
    within = tmp_path / "mine" / "marches"
    within.mkdir()
    (within / "A test.abc").write_text("mine", encoding="utf-8")
    for action in (Action.TEMPO_DOWN, Action.ON, Action.TEMPO_DOWN, Action.CHOOSE):
        screen.act(action)
        screen.tick()
    assert screen.state.saved == within / "A test 2.abc"
    assert (within / "A test.abc").read_text(encoding="utf-8") == "mine"


def test_what_cannot_be_saved_is_said_and_nothing_is_lost(tmp_path: Path) -> None:
    """A folder that is a file; a tune without a title."""
    (tmp_path / "tunes").write_text("in the way")
    screen = saver(tmp_path, [])
    screen.act(Action.CHOOSE)
    assert screen.state.saved is None
    assert "choose another" in screen.state.wrong
    for _ in range(len("A test")):
        screen.act(Action.ERASE)
    screen.act(Action.CHOOSE)
    assert screen.state.wrong == "a tune needs a title: type one"


@pytest.mark.parametrize("title", ["", "../../etc", "a/b\\c:d", "  ", "x" * 300, "Ceòl Mòr (1)"])
def test_any_title_makes_a_file_in_the_folder(title: str, tmp_path: Path) -> None:
    """Whatever is typed: never elsewhere."""
    path = free_path(tmp_path, title)
    assert path.parent == tmp_path
    path.write_text("", encoding="utf-8")
    assert free_path(tmp_path, title) != path
