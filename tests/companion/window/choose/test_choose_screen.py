"""What the list shows, and what choosing in it does."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from companion.window.choose.choose_state import LONGEST_QUERY, ROWS_OF_WHEEL
from companion.window.choose.recent import RecentFile, read_recent, write_recent
from companion.window.choose.rows import ToTune
from companion.window.core.actions import Action, Pick, Typed
from companion.window.core.screen import ScreenResult
from companion.window.play.fit_screen import FitScreen
from fingering.notes import Note
from tests.companion.window.choose.choosing import (
    OURS,
    Choosing,
    book_text,
    headings,
    names,
    rank_of,
    settle,
    tune_text,
    type_in,
)


@pytest.fixture
def files(tmp_path: Path) -> Path:
    """A folder with a file of one tune, a book of three, a folder, a file that is no ABC, and one without notes."""
    (tmp_path / "one.abc").write_text(tune_text(1, "Öre Sound", "jig", "A. Piper"))
    (tmp_path / "book.abc").write_text(book_text(("First Light", "Second Wind", "Third Time")))
    (tmp_path / "more").mkdir()
    (tmp_path / "picture.abc").write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(99))
    (tmp_path / "silent.abc").write_text("X:1\nT:Silence\nK:HP\nz4|\n")
    return tmp_path


def recent(*files: RecentFile, folder: Path) -> Path:
    """A list of recent files."""
    write_recent(folder / "recent.json", files)
    return folder / "recent.json"


def test_all_stands_in_sections(files: Path) -> None:
    """Recent files, the way to all others, our tunes, drills."""
    choosing = Choosing(recent(RecentFile(str(files / "one.abc"), "Öre Sound"), folder=files))
    screen = choosing.open()
    assert headings(screen) == ["recent files", "our tunes", "drills"]
    assert names(screen)[:3] == ["Öre Sound", "open a file …", "All Hands to Tarrowick Pier"]
    assert len(names(screen)) == 2 + len(OURS.tunes) + len(OURS.drills)


def test_no_tune_stands_twice(files: Path) -> None:
    """Neither one of ours that was opened as a file, nor a file that was opened again or by another path."""
    choosing = Choosing()
    for path in (OURS.tunes[1].place.source, OURS.drills[0].place.source, files / "one.abc", files / "book.abc"):
        choosing.open(path)
    (files / "link.abc").symlink_to(files / "one.abc")
    choosing.open(files / "link.abc")
    choosing.open(files / "more" / ".." / "one.abc")
    screen = choosing.open()
    shown = names(screen)
    assert len(set(shown)) == len(shown)
    assert shown[:3] == ["Öre Sound", "book.abc", "open a file …"]
    type_in(screen, "o")
    assert len(set(names(screen))) == len(names(screen))


def test_what_plays_is_marked() -> None:
    """So that the next one is one key away."""
    choosing = Choosing()
    screen = choosing.open()
    assert screen.state.marked is not None
    assert screen.state.marked.choice == ToTune(choosing.playing.state.tune)
    screen.act(Action.TEMPO_DOWN)
    assert screen.act(Action.CHOOSE) is ScreenResult.CLOSE
    assert choosing.title == OURS.tunes[1].title
    assert choosing.playing.state.playing
    again = choosing.open().state.marked
    assert again is not None
    assert again.name == OURS.tunes[1].title


def test_a_file_with_one_tune_plays(files: Path) -> None:
    """Chosen among the recent ones, which it leads from then on; it may have no title."""
    choosing = Choosing(files / "recent.json")
    screen = choosing.open(files)
    screen.act(Pick(rank_of(screen, "one.abc")))
    assert settle(screen) is ScreenResult.CLOSE
    assert choosing.title == "Öre Sound"
    assert choosing.playing.state.tunes[0] is choosing.playing.state.tune
    choosing.shelf.recent.close()
    assert read_recent(files / "recent.json") == (RecentFile(str(files / "one.abc"), "Öre Sound"),)


def test_a_book_shows_its_tunes_by_name(files: Path) -> None:
    """And stays: O leads to it again, with the way to all others."""
    choosing = Choosing()
    screen = choosing.open(files / "book.abc")
    assert names(screen) == ["all tunes", "First Light", "Second Wind", "Third Time"]
    assert screen.state.place.title == "book.abc"
    assert screen.act(Pick(rank_of(screen, "Second Wind"))) is ScreenResult.CLOSE
    assert choosing.title == "Second Wind"
    again = choosing.open()
    assert again.state.marked is not None
    assert again.state.marked.name == "Second Wind"
    again.act(Pick(0))
    assert names(again)[0] == "book.abc"
    assert again.act(Action.LEAVE) is ScreenResult.CLOSE


def test_a_search_looks_into_books_that_were_read(files: Path) -> None:
    """Each tune once, under its book's name; a recent file is found by what is known of it."""
    choosing = Choosing()
    choosing.open(files / "book.abc")
    choosing.open(files / "one.abc")
    screen = choosing.open()
    type_in(screen, "wind")
    assert names(screen) == ["The Keeper's Window", "Second Wind"]
    assert headings(screen) == ["our tunes", "in book.abc"]
    screen.act(Action.LEAVE)
    type_in(screen, "piper ore")
    assert names(screen) == ["Öre Sound"]
    assert screen.act(Action.CHOOSE) is ScreenResult.STAY
    assert settle(screen) is ScreenResult.CLOSE


def test_esc_clears_the_search_first(files: Path) -> None:
    """Then it goes back, place by place."""
    choosing = Choosing()
    screen = choosing.open(files)
    screen.act(Pick(rank_of(screen, "book.abc")))
    settle(screen)
    type_in(screen, "third")
    assert screen.written == "third"
    assert screen.way_back == "clear the search"
    assert screen.act(Action.LEAVE) is ScreenResult.STAY
    assert screen.written == ""
    assert screen.way_back == "back"
    titles = []
    while screen.act(Action.LEAVE) is ScreenResult.STAY:
        titles.append(screen.state.place.title)
    assert titles == [files.name, "Tunes"]
    assert choosing.title == OURS.tunes[0].title


def test_letters_are_the_search() -> None:
    """No letter is a key here; the last one is taken back, and a key that is held fills no more than the line."""
    screen = Choosing().open()
    assert {cap for cap, _ in screen.keycaps()} == {"↓", "↑", "←", "→", "Enter", "Esc", "Backspace"}
    type_in(screen, "zzzz")
    assert screen.state.marked is None
    assert screen.act(Action.CHOOSE) is ScreenResult.STAY
    for _ in range(6):
        screen.act(Action.ERASE)
    assert screen.written == ""
    assert screen.state.marked is not None
    type_in(screen, "e" * 200)
    assert len(screen.written) == LONGEST_QUERY


def test_the_mark_steps_over_headings() -> None:
    """By keys and the wheel, and stays within the list."""
    screen = Choosing().open()
    ranks = set()
    for action in (*[Action.TEMPO_UP] * 5, *[Action.SLOWER] * 3, *[Action.TEMPO_DOWN] * 99, Action.FASTER):
        screen.act(action)
        assert screen.state.marked is not None
        assert screen.state.marked.choice is not None
        ranks.add(screen.state.mark)
    assert screen.state.mark == len(screen.state.rows) - 1 - ROWS_OF_WHEEL
    assert len(ranks) > len(OURS.drills)


def test_folders_are_walked_in_the_same_list(files: Path) -> None:
    """Up a folder, into one; the one that was left is marked, and a search finds by name."""
    choosing = Choosing()
    screen = choosing.open(files)
    assert headings(screen) == ["folders", "tune files"]
    assert names(screen) == ["up a folder", f"more{os.sep}", "book.abc", "one.abc", "picture.abc", "silent.abc"]
    screen.act(Pick(rank_of(screen, f"more{os.sep}")))
    settle(screen)
    assert screen.state.place.title == "more"
    assert "no tune files here" in screen.state.place.line
    screen.act(Pick(rank_of(screen, "up a folder")))
    settle(screen)
    assert screen.state.marked is not None
    assert screen.state.marked.name == f"more{os.sep}"
    type_in(screen, "ONE")
    assert names(screen) == ["one.abc"]


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("gone.abc", "gone.abc: there is no such file"),
        ("picture.abc", "picture.abc: this is"),
        ("silent.abc", "silent.abc: nothing in this file can be played"),
        ("a\nb.abc", "a<0A>b.abc: there is no such file"),
        ("", None),
    ],
)
def test_what_cannot_be_opened_costs_one_line(files: Path, name: str, told: str | None) -> None:
    """The tune plays on, and another can be chosen."""
    choosing = Choosing()
    screen = choosing.open(files / name)
    words = screen.told.words
    assert "\n" not in words
    if told:
        assert words.startswith(told)
        assert screen.state.place.title == "Tunes"
        screen.act(Action.TEMPO_DOWN)
        assert not screen.told.words.startswith(told)
    assert choosing.title == OURS.tunes[0].title


def test_a_recent_file_that_is_gone_stays_in_the_list(files: Path) -> None:
    """It may be on a drive that is plugged in later."""
    lost = RecentFile(str(files / "elsewhere" / "lost.abc"), "Lost")
    choosing = Choosing(recent(lost, folder=files))
    screen = choosing.open()
    screen.act(Pick(rank_of(screen, "Lost")))
    assert settle(screen) is None
    assert "there is no such file" in screen.told.words
    assert "Lost" in names(screen)


def test_a_file_that_has_changed_is_read_again(files: Path) -> None:
    """And one that has not is not."""
    choosing = Choosing()
    choosing.open(files / "book.abc")
    book = next(iter(choosing.shelf.books.values()))
    choosing.open(files / "book.abc")
    assert next(iter(choosing.shelf.books.values())) is book
    (files / "book.abc").write_text(book_text(("First Light", "Another Wind")))
    assert names(choosing.open(files / "book.abc")) == ["all tunes", "First Light", "Another Wind"]


def test_a_tune_off_the_chanter_asks_first(tmp_path: Path) -> None:
    """Once: it is known from then on how it is read."""
    path = tmp_path / "low.abc"
    path.write_text("X:1\nT:The Sunken Bell\nM:2/4\nL:1/8\nK:HP\nC2E2|G2A2|\n")
    choosing = Choosing()
    screen = choosing.choose(choosing.playing, str(path))
    settle(screen)
    assert isinstance(screen._question, FitScreen)
    assert not screen.state.query
    screen.act(Typed("x"))
    assert screen.act(Action.CHOOSE) is ScreenResult.CLOSE
    assert choosing.playing.state.tune.notes[0].note is Note.C
    assert choosing.playing.state.unread == ()
    again = choosing.choose(choosing.playing, str(path))
    assert settle(again) is ScreenResult.CLOSE
    assert choosing.playing.state.tune.notes[0].note is Note.C


def test_a_new_user_finds_the_last_file_marked(files: Path) -> None:
    """As long as nothing was chosen: the tune that plays is not the user's choice."""
    choosing = Choosing(recent(RecentFile(str(files / "one.abc"), "Öre Sound"), folder=files))
    screen = choosing.open()
    assert screen.state.marked is not None
    assert screen.state.marked.name == "Öre Sound"
