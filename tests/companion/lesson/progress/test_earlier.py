"""Takes of before progress was kept are taken in, each once."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from companion.lesson.progress.book import ProgressBook
from companion.lesson.progress.earlier import Earlier, files_to_take_in, take_in_earlier
from companion.midi.takes.own_settings import OwnSettings
from tests.companion.lesson.progress.playing import on_day
from tests.companion.lesson.progress.takes import keep_take

NOW = on_day(3)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[ProgressBook]:
    """A new book."""
    opened = ProgressBook(tmp_path / "progress.sqlite")
    yield opened
    opened.close()


def take_in(book: ProgressBook, folder: Path) -> Earlier:
    """Take in what the folder holds."""
    return take_in_earlier(book, "", files_to_take_in(book, folder, NOW), OwnSettings(None), NOW)


def test_takes_are_heard_and_taken_in_once(book: ProgressBook, tmp_path: Path) -> None:
    """Those of tunes with how each skill went, free play as having been played, on their own day."""
    keep_take(tmp_path / "takes" / "a.mid", tmp_path / "tune.abc")
    keep_take(tmp_path / "takes" / "b.mid", None, notes=5)
    assert take_in(book, tmp_path / "takes") == Earlier(taken=2)
    account = book.account("", NOW)
    assert (account.takes, account.days) == (2, 1)
    assert account.tunes[0].title == "A test"
    assert all(each.lately == 1.0 for each in account.embellishments)
    assert account.embellishments[0].last == on_day(0).date()
    assert files_to_take_in(book, tmp_path / "takes", NOW) == ()
    assert take_in(book, tmp_path / "takes") == Earlier()
    assert book.account("", NOW) == account


def test_a_take_whose_tune_is_away_is_tried_again(book: ProgressBook, tmp_path: Path) -> None:
    """Its file may come back."""
    keep_take(tmp_path / "takes" / "a.mid", tmp_path / "tune.abc")
    (tmp_path / "tune.abc").rename(tmp_path / "away.abc")
    assert take_in(book, tmp_path / "takes") == Earlier(without_tune=1)
    (tmp_path / "away.abc").rename(tmp_path / "tune.abc")
    assert take_in(book, tmp_path / "takes") == Earlier(taken=1)


def test_what_is_no_take_is_looked_at_once(book: ProgressBook, tmp_path: Path) -> None:
    """Nor what is no performance of its tune."""
    keep_take(tmp_path / "takes" / "a.mid", tmp_path / "tune.abc", notes=3)
    (tmp_path / "takes" / "b.mid").write_bytes(b"MThd")
    os.utime(tmp_path / "takes" / "b.mid", (0, 0))
    assert len(files_to_take_in(book, tmp_path / "takes", NOW)) == 2
    assert take_in(book, tmp_path / "takes") == Earlier()
    assert files_to_take_in(book, tmp_path / "takes", NOW) == ()
    assert book.account("", NOW).takes == 0


def test_a_take_that_still_goes_on_is_left_for_later(book: ProgressBook, tmp_path: Path) -> None:
    """A file that was written within the last minute."""
    path = tmp_path / "takes" / "a.mid"
    keep_take(path, tmp_path / "tune.abc")
    for ago_s, count in ((30.0, 0), (90.0, 1)):
        os.utime(path, (NOW.timestamp() - ago_s,) * 2)
        assert len(files_to_take_in(book, tmp_path / "takes", NOW)) == count


def test_a_deleted_learners_takes_do_not_come_back(book: ProgressBook, tmp_path: Path) -> None:
    """Their files were looked at."""
    keep_take(tmp_path / "takes" / "a.mid", tmp_path / "tune.abc")
    take_in(book, tmp_path / "takes")
    book.delete("")
    assert take_in(book, tmp_path / "takes") == Earlier()
    assert book.learners() == ()


def test_no_folder_holds_nothing(book: ProgressBook, tmp_path: Path) -> None:
    """It is made with the first take."""
    assert files_to_take_in(book, tmp_path / "none", NOW) == ()
