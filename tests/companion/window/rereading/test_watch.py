"""A file that is watched: what editors do to it is noticed once it is done, and nothing else is."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from companion.window.choose.book import stamp_of
from companion.window.rereading.watch import EVERY_S, GONE_S, QUIET_S, SOON_S, FileNews, FileWatch
from tests.companion.sound.loudspeaker import wait_until
from tests.companion.window.rereading.editing import Editor

FRAME_S = 0.02


class Watching:
    """A file that is looked after, on a clock that a test moves."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.editor = Editor(path)
        path.write_text("one")
        self.watch = FileWatch(str(path), stamp_of(path))
        self.now_s = 100.0

    def told(self, for_s: float) -> list[FileNews]:
        """What is told meanwhile."""
        until_s, told = self.now_s + for_s, []
        while self.now_s < until_s:
            wait_until(lambda: self.watch.at_rest)
            told.append(self.watch.news(self.now_s))
            self.now_s += FRAME_S
        return [news for news in told if news is not FileNews.NOTHING]


@pytest.fixture
def watching(tmp_path: Path) -> Iterator[Watching]:
    """A file that has been watched for a second, in which nothing was told."""
    begun = Watching(tmp_path / "my tune.abc")
    assert begun.told(1.0) == []
    yield begun
    begun.watch.close()


def test_every_change_is_told_once(watching: Watching) -> None:
    """Written over, or replaced by another file, even one of the same length and the same time."""
    watching.editor.write("another")
    assert watching.told(1.0) == [FileNews.CHANGED]
    assert watching.told(1.0) == []
    watching.editor.replace("a third")
    assert watching.told(1.0) == [FileNews.CHANGED]
    before = watching.path.stat()
    beside = watching.path.with_name("new")
    beside.write_text("a forth")
    os.utime(beside, ns=(before.st_atime_ns, before.st_mtime_ns))
    os.replace(beside, watching.path)
    assert watching.told(1.0) == [FileNews.CHANGED]


def test_a_file_that_is_still_written_is_waited_for(watching: Watching) -> None:
    """Piece by piece, it is told when no piece has come for a while."""
    for pieces in range(1, 10):
        watching.editor.write("piece " * pieces)
        assert watching.told(QUIET_S * 0.8) == []
    assert watching.told(QUIET_S + EVERY_S) == [FileNews.CHANGED]


def test_a_file_that_is_emptied_and_then_written_is_told_once(watching: Watching) -> None:
    """Even where that takes a second; one that stays empty is told after a while."""
    watching.editor.write("")
    assert watching.told(GONE_S / 2) == []
    watching.editor.write("again")
    assert watching.told(1.0) == [FileNews.CHANGED]
    watching.editor.write("")
    assert watching.told(GONE_S + 1.0) == [FileNews.CHANGED]


def test_a_file_that_is_put_aside_and_written_anew_is_told_once(watching: Watching) -> None:
    """As editors do that keep what was before."""
    watching.path.rename(watching.path.with_suffix(".old"))
    assert watching.told(GONE_S / 2) == []
    watching.editor.write("anew")
    assert watching.told(1.0) == [FileNews.CHANGED]


def test_a_file_that_is_gone_is_told_after_a_while_and_once(watching: Watching) -> None:
    """That it is back as it was, too; or back and another one, which is a change."""
    aside = watching.path.with_suffix(".old")
    watching.path.rename(aside)
    assert watching.told(GONE_S + 1.0) == [FileNews.GONE]
    assert watching.told(GONE_S + 1.0) == []
    aside.rename(watching.path)
    assert watching.told(1.0) == [FileNews.BACK]
    watching.path.unlink()
    assert watching.told(GONE_S + 1.0) == [FileNews.GONE]
    watching.editor.write("another")
    assert watching.told(1.0) == [FileNews.CHANGED]


def test_a_folder_that_goes_away_takes_the_file_along(watching: Watching, tmp_path: Path) -> None:
    """As a drive that is pulled out."""
    tmp_path.rename(tmp_path.with_name(f"{tmp_path.name} elsewhere"))
    assert watching.told(GONE_S + 1.0) == [FileNews.GONE]


def test_a_change_is_told_within_half_a_second(watching: Watching) -> None:
    """A look, the quiet after it, and one more look."""
    watching.editor.write("another")
    assert watching.told(EVERY_S + QUIET_S + 2 * SOON_S + 2 * FRAME_S) == [FileNews.CHANGED]


def test_a_file_is_looked_at_four_times_a_second(monkeypatch: pytest.MonkeyPatch, watching: Watching) -> None:
    """A file is looked at four times a second, not in every frame."""
    looks: list[str] = []

    def counted(path: str) -> object:
        looks.append(path)
        return stamp_of(path)

    monkeypatch.setattr("companion.window.rereading.watch.stamp_of", counted)
    watching.told(5.0)
    assert len(looks) == pytest.approx(5.0 / (EVERY_S + FRAME_S), abs=2)


def test_a_drive_that_does_not_answer_holds_up_no_frame(monkeypatch: pytest.MonkeyPatch, watching: Watching) -> None:
    """The window asks, and goes on; one look waits at a time."""
    looks: list[str] = []

    def far_away(path: str) -> object:
        looks.append(path)
        time.sleep(0.3)
        return stamp_of(path)

    monkeypatch.setattr("companion.window.rereading.watch.stamp_of", far_away)
    longest_s = 0.0
    for _ in range(100):
        began_s = time.perf_counter()
        assert watching.watch.news(watching.now_s) is FileNews.NOTHING
        longest_s = max(longest_s, time.perf_counter() - began_s)
        watching.now_s += FRAME_S
    assert longest_s < 0.1
    wait_until(lambda: watching.watch.at_rest)
    assert len(looks) == 1
