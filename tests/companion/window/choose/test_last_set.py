"""The set of tunes that was chosen is offered the next time: kept like all that the program keeps."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from companion.midi.takes.heading import TuneIdentity
from companion.score.formats.books import read_tunes
from companion.window.choose.last_set import LastSet, find_tune, read_last_set, write_last_set
from companion.window.choose.places import first_page
from companion.window.choose.recent_keeper import RecentKeeper
from companion.window.choose.shelf import Shelf
from companion.window.choosing_navigation import choose_tune
from companion.window.core.actions import Action, Pick
from companion.window.core.screen import ScreenResult
from fingering.errors import UserError
from tests.companion.window.choose.choosing import OURS, Choosing, settle, tune_text


class WithSet(Choosing):
    """What can be chosen, with a set that is kept in a folder."""

    def __init__(self, folder: Path) -> None:
        super().__init__()
        self.shelf = Shelf(OURS, RecentKeeper(None), LastSet(folder / "set.json"))


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A file of one's own."""
    path = tmp_path / "own.abc"
    path.write_text(tune_text(1, "My Own"), encoding="utf-8")
    return path


def with_a_set(folder: Path, own: Path) -> None:
    """A set of one of ours and one's own is chosen, and the program ends."""
    first = WithSet(folder)
    first.shelf.last_set.keep((first.playing.state.tune, read_tunes(own).tunes[0]))
    first.shelf.last_set.close()
    assert first.shelf.last_set.trouble == ""


def test_the_set_stands_first_in_the_list_the_next_time(tmp_path: Path, own: Path) -> None:
    """And choosing it plays it, each tune found where it is written."""
    with_a_set(tmp_path, own)
    again = WithSet(tmp_path)
    first = OURS.tunes[0].title
    (row,) = first_page(again.shelf).sections[0].rows
    assert row.name == f"{first}, then My Own"
    screen = choose_tune(again.playing, shelf=again.shelf)
    rank = next(rank for rank, each in enumerate(screen.state.rows) if each.name == row.name)
    assert screen.act(Pick(rank)) is ScreenResult.STAY
    assert settle(screen) is ScreenResult.CLOSE
    assert [each.title for each in again.playing.state.row] == [first, "My Own"]
    again.shelf.last_set.close()
    assert [each.title for each in read_last_set(tmp_path / "set.json")] == [first, "My Own"]


def test_a_set_that_is_changed_in_the_list_is_kept(tmp_path: Path) -> None:
    """With each tune that follows; once the last one is taken out there is none."""
    bench = WithSet(tmp_path)
    screen = choose_tune(bench.playing, shelf=bench.shelf)
    screen.act(Action.TEMPO_DOWN)
    assert screen.state.marked
    screen.act(Action.ON)
    assert len(bench.shelf.last_set.tunes) == 2
    screen.act(Action.BACK)
    assert not bench.shelf.last_set.tunes
    bench.shelf.last_set.close()
    assert read_last_set(tmp_path / "set.json") == ()


def test_a_tune_that_is_gone_is_said_and_one_that_was_changed_is_found(tmp_path: Path, own: Path) -> None:
    """By its place and title, where its notes are others now; nothing plays where one is missing."""
    with_a_set(tmp_path, own)
    own.write_text(tune_text(1, "My Own", bars="A4 B4|c4 d4|]"), encoding="utf-8")
    again = WithSet(tmp_path)
    assert again.shelf.open_last_set().tunes[1].title == "My Own"
    own.write_text(tune_text(1, "Another", bars="A4 B4|c4 e4|]"), encoding="utf-8")
    with pytest.raises(UserError, match="My Own of this set is not in its file any more"):
        again.shelf.open_last_set()
    own.unlink()
    with pytest.raises(UserError, match="My Own of this set"):
        again.shelf.open_last_set()
    elsewhere = replace(TuneIdentity.of(OURS.tunes[0]), content="0", file="//there/own.abc")
    with pytest.raises(UserError, match="of this set"):
        find_tune(elsewhere, ())


@pytest.mark.parametrize("spoilt", ["{", '{"tunes": 3}', '{"tunes": [{"title": 1}]}', "\0"])
def test_a_spoilt_file_is_set_aside_and_said(tmp_path: Path, spoilt: str) -> None:
    """And a set can be kept again."""
    path = tmp_path / "set.json"
    path.write_text(spoilt)
    kept = LastSet(path)
    assert kept.tunes == ()
    assert "the set of tunes cannot be read" in kept.trouble
    assert (tmp_path / "set.json.unreadable").read_text() == spoilt
    write_last_set(path, (TuneIdentity.of(OURS.tunes[0]),) * 2)
    assert len(read_last_set(path)) == 2


def test_where_it_cannot_be_written_that_is_said(tmp_path: Path) -> None:
    """In one line, with what to do."""
    (tmp_path / "file").touch()
    kept = LastSet(tmp_path / "file" / "set.json")
    kept.keep(OURS.tunes[:2])
    kept.close()
    assert "the set of tunes cannot be kept" in kept.trouble
    assert LastSet(None).tunes == ()
