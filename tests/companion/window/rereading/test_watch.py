"""A file that changes or goes while its tune plays costs one line, and nothing of the tune."""

from __future__ import annotations

import os
from pathlib import Path

from companion.window.choose.book import stamp_of
from companion.window.choose.watch import EVERY_S, FileWatch
from companion.window.core.actions import Pick
from tests.companion.sound.loudspeaker import wait_until
from tests.companion.window.choose.choosing import Choosing, book_text, names, rank_of, settle


class Watching:
    """A file that is looked after, on a clock that a test moves."""

    def __init__(self, path: Path) -> None:
        self.path = path
        path.write_text("one")
        self.watch = FileWatch(str(path), stamp_of(path))
        self.now_s = 100.0

    def look(self) -> list[str]:
        """What is told when it is looked at once more."""
        told = [self.watch.news(self.now_s)]
        wait_until(lambda: self.watch.at_rest)
        told.append(self.watch.news(self.now_s))
        self.now_s += EVERY_S
        return [line for line in told if line]


def change(path: Path, text: str, at_s: float) -> None:
    """Write a file anew at a moment of its own, since clocks of disks are coarse."""
    path.write_text(text)
    os.utime(path, (at_s, at_s))


def test_every_change_is_told_once(tmp_path: Path) -> None:
    """Changed, changed again, gone, there again."""
    watching = Watching(tmp_path / "my tune.abc")
    assert watching.look() == []
    assert not watching.watch.differs
    change(watching.path, "another", 1_000_000_000.0)
    assert watching.look() == ["my tune.abc has changed; choose it again with O to hear it as it is now"]
    assert watching.watch.differs
    assert watching.look() == []
    change(watching.path, "another", 1_000_000_100.0)
    assert len(watching.look()) == 1
    watching.path.unlink()
    assert watching.look() == ["my tune.abc is gone; what was read of it plays on"]
    assert watching.look() == []
    change(watching.path, "back", 1_000_000_200.0)
    assert len(watching.look()) == 1


def test_a_file_is_looked_at_once_a_second(tmp_path: Path) -> None:
    """And not in every frame."""
    watching = Watching(tmp_path / "a.abc")
    watching.look()
    watching.watch.news(watching.now_s - EVERY_S / 2)
    assert watching.watch.at_rest


def test_the_file_of_the_tune_that_plays_is_looked_after(tmp_path: Path) -> None:
    """Until one of ours is chosen; a book that has changed can be read again from its own list."""
    path = tmp_path / "book.abc"
    path.write_text(book_text(("First Light", "Second Wind")))
    choosing = Choosing()
    screen = choosing.open(path)
    screen.act(Pick(rank_of(screen, "First Light")))
    change(path, book_text(("First Light", "Third Time")), 1_000_000_000.0)
    told: list[str] = []
    now_s = 0.0

    def has_told() -> bool:
        nonlocal now_s
        now_s += EVERY_S
        told.extend(filter(None, [choosing.shelf.news(now_s)]))
        return bool(told)

    wait_until(has_told)
    assert told == ["book.abc has changed; choose it again with O to hear it as it is now"]
    assert choosing.title == "First Light"
    screen = choosing.open()
    assert names(screen)[:2] == ["all tunes", "read it again"]
    screen.act(Pick(1))
    settle(screen)
    assert names(screen) == ["all tunes", "First Light", "Third Time"]
    choosing.shelf.watch(None)
    assert choosing.shelf.news(now_s) == ""
