"""Files and folders that are dropped on the window open, whatever their names, on whichever screen."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from pathlib import Path

import pygame
import pytest

from companion.window.choose.choose_screen import ChooseScreen
from companion.window.core.display import Display
from companion.window.core.marks import Role
from companion.window.play.fit_screen import FitScreen
from companion.window.play.play_screen import PlayScreen
from companion.window.shell import Shell, WindowSize
from tests.companion.window import scenes
from tests.companion.window.choose.choosing import OURS, Choosing, book_text, tune_text
from tests.companion.window.driven_window import press

PATIENCE_S = 20.0


class Dropping:
    """A window on one of our tunes, on which files are dropped."""

    def __init__(self, recent: Path | None = None) -> None:
        self.choosing = Choosing(recent)
        self.shell = Shell(self.choosing.playing, Display(), WindowSize(800, 600))
        self.shell.frame()

    def drop(self, path: Path | str) -> None:
        """A file is dropped."""
        pygame.event.post(pygame.event.Event(pygame.DROPFILE, file=str(path)))
        self.frames()

    def key(self, code: int, typed: str = "") -> None:
        """A key is pressed."""
        press(code, typed)
        self.frames()

    def frames(self) -> None:
        """Frames until nothing is read any more."""
        end_s = time.monotonic() + PATIENCE_S
        assert self.shell.frame()
        while isinstance(self.shell.top, ChooseScreen) and self.shell.top.way_back == "stop reading":
            assert time.monotonic() < end_s
            assert self.shell.frame()

    @property
    def words(self) -> list[str]:
        """What is read in the window."""
        assert self.shell.picture is not None
        return [label.text for label in scenes.labels(self.shell.picture)]

    @property
    def faults(self) -> list[str]:
        """What is read there of what is wrong."""
        assert self.shell.picture is not None
        return [label.text for label in scenes.labels(self.shell.picture) if label.role is Role.FAULT]

    @property
    def plays(self) -> str:
        """The tune that plays, "" while none does."""
        state = self.choosing.playing.state
        return state.tune.title if state.playing and isinstance(self.shell.top, PlayScreen) else ""


@pytest.fixture
def window(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[Dropping]:
    """Drawn to memory."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    window = Dropping(tmp_path / "data" / "recent.json")
    yield window
    window.shell.close()
    window.choosing.shelf.recent.close()


NAMES = [
    "plain.abc",
    "with spaces in it.abc",
    "Öre Sünd ’26 – né.ABC",
    "no suffix",
    "notes.txt",
    "-o.abc",
    "ab\u202ecba.abc",
]


@pytest.mark.parametrize("name", NAMES)
def test_one_action_from_nothing_to_a_file_of_ones_own(window: Dropping, tmp_path: Path, name: str) -> None:
    """It is dropped, and plays, whatever its name; no list is seen."""
    (tmp_path / name).write_text(tune_text(1, "My Own Tune"))
    window.drop(tmp_path / name)
    assert window.plays == "My Own Tune"
    assert not window.faults


def test_two_actions_from_nothing_to_a_recent_file(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """O, and Enter, the day after it was opened for the first time; or O, and a click."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    (tmp_path / "mine.abc").write_text(tune_text(1, "My Own Tune"))
    recent = tmp_path / "data" / "recent.json"
    first = Dropping(recent)
    first.drop(tmp_path / "mine.abc")
    first.choosing.shelf.recent.close()
    first.shell.close()
    for click in (False, True):
        window = Dropping(recent)
        assert window.plays == ""
        window.key(pygame.K_o, "o")
        if click:
            assert window.shell.picture is not None
            row = next(label for label in scenes.labels(window.shell.picture) if label.text == "My Own Tune")
            at = (round(row.x) + 5, round(row.y))
            pygame.event.post(pygame.event.Event(pygame.MOUSEBUTTONDOWN, button=1, pos=at))
            window.frames()
        else:
            window.key(pygame.K_RETURN, "\r")
        assert window.plays == "My Own Tune"
        window.shell.close()


def test_a_dropped_book_shows_its_tunes(window: Dropping, tmp_path: Path) -> None:
    """One of which is searched and chosen."""
    (tmp_path / "book.abc").write_text(book_text(("First Light", "Second Wind")))
    window.drop(tmp_path / "book.abc")
    assert {"First Light", "Second Wind"} <= set(window.words)
    for letter in "wind":
        window.key(ord(letter), letter)
    window.key(pygame.K_RETURN, "\r")
    assert window.plays == "Second Wind"


def test_a_dropped_folder_opens_the_list_there(window: Dropping, tmp_path: Path) -> None:
    """With what is in it."""
    folder = tmp_path / "my tunes"
    folder.mkdir()
    (folder / "one.abc").write_text(tune_text(1, "One"))
    window.drop(folder)
    assert {"my tunes", "one.abc", "up a folder"} <= set(window.words)
    assert window.choosing.title == OURS.tunes[0].title


@pytest.mark.parametrize("name", ["gone.abc", "picture.png", "empty.abc", "unreadable", "x" * 5_000, "", "a\0b"])
def test_what_cannot_be_opened_is_said(window: Dropping, tmp_path: Path, name: str) -> None:
    """In one line; the tune stays as it was."""
    (tmp_path / "picture.png").write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(99))
    (tmp_path / "empty.abc").write_text("")
    os.symlink(tmp_path / "unreadable", tmp_path / "unreadable")
    window.drop(tmp_path / name if name else "")
    assert len(window.faults) == 1
    window.key(pygame.K_ESCAPE, "\x1b")
    assert isinstance(window.shell.top, PlayScreen)
    assert window.choosing.title == OURS.tunes[0].title


def test_a_drop_opens_over_the_playing_screen_whatever_was_open(window: Dropping, tmp_path: Path) -> None:
    """A list in which something is typed, a question, the sheet of keys."""
    (tmp_path / "mine.abc").write_text(tune_text(1, "My Own Tune"))
    (tmp_path / "low.abc").write_text("X:1\nT:Low\nM:2/4\nL:1/8\nK:HP\nC2E2|G2A2|\n")
    window.drop(tmp_path / "low.abc")
    assert isinstance(window.shell.top, ChooseScreen)
    assert any("no chanter has" in words for words in window.words)
    window.drop(tmp_path / "mine.abc")
    assert window.plays == "My Own Tune"
    for code, typed in ((pygame.K_k, "k"), (pygame.K_o, "o")):
        window.key(code, typed)
        window.drop(tmp_path / "mine.abc")
        assert window.plays == "My Own Tune"


def test_the_question_how_to_read_it_is_answered_in_place(window: Dropping, tmp_path: Path) -> None:
    """Then the tune plays."""
    (tmp_path / "low.abc").write_text("X:1\nT:Low\nM:2/4\nL:1/8\nK:HP\nC2E2|G2A2|\n")
    window.drop(tmp_path / "low.abc")
    assert not isinstance(window.shell.top, FitScreen)
    window.key(pygame.K_RETURN, "\r")
    assert window.plays == "Low"
    assert all(note.note is not None for note in window.choosing.playing.state.tune.notes)


def test_several_files_at_once_open_the_last(window: Dropping, tmp_path: Path) -> None:
    """As they come, all in one frame."""
    for name in ("one", "two"):
        (tmp_path / f"{name}.abc").write_text(tune_text(1, name))
        pygame.event.post(pygame.event.Event(pygame.DROPFILE, file=str(tmp_path / f"{name}.abc")))
    window.frames()
    assert window.plays == "two"


def test_letters_keep_their_other_meanings_elsewhere(window: Dropping) -> None:
    """T in the list is a letter, on the playing screen the theme; with Ctrl it is neither."""
    theme = window.shell.display.theme
    window.key(pygame.K_o, "o")
    window.key(pygame.K_t, "t")
    assert window.shell.display.theme is theme
    top = window.shell.top
    assert isinstance(top, ChooseScreen)
    assert top.written == "t"
    held = pygame.event.Event(pygame.KEYDOWN, key=pygame.K_v, unicode="v", mod=pygame.KMOD_LCTRL, scancode=0)
    pygame.event.post(held)
    window.frames()
    assert top.written == "t"
    window.key(pygame.K_BACKSPACE, "\b")
    assert top.written == ""
    window.key(pygame.K_ESCAPE, "\x1b")
    window.key(pygame.K_t, "t")
    assert window.shell.display.theme is not theme
