"""Programs that are killed, and programs that write at once: what was said to be kept is kept."""

from __future__ import annotations

import subprocess
import sys
import threading
from pathlib import Path

import pytest

from companion.lesson.progress.book import ProgressBook
from tests.companion.lesson.progress.playing import TAORLUATH, heard, on_day, take
from tests.companion.lesson.progress.writer import LEARNER, a_tune, step_of

ROOT = Path(__file__).resolve().parents[4]
KILLS = 200
TAKES = 60
WRITES_AT_ONCE = f"""
import sys
from pathlib import Path
from companion.lesson.progress.book import ProgressBook
from tests.companion.lesson.progress.playing import *
from tests.companion.lesson.progress.writer import LEARNER, a_tune, step_of
book, tune, first = ProgressBook(Path(sys.argv[1])), a_tune(), int(sys.argv[2])
print("ready", flush=True)
sys.stdin.readline()
for number in range({TAKES}):
    own = take(on_day(0, number / 100), heard(TAORLUATH, 5, 10), file=f"{{first}} {{number}}.mid")
    assert book.take_in(LEARNER, own, on_day(1))
    both = take(on_day(0, number / 100), heard(TAORLUATH, 5, 10), file=f"both {{number}}.mid")
    book.take_in(LEARNER, both, on_day(1))
    book.step_done(LEARNER, tune, step_of(first + number), on_day(1))
assert book.trouble is None, book.trouble
book.close()
"""


@pytest.mark.same_everywhere
def test_a_writer_that_is_killed_loses_nothing_that_it_told(tmp_path: Path) -> None:
    """SIGKILL, 200 times, each at another moment; every time the book opens and holds it all, each thing once."""
    words = [sys.executable, "-m", "tests.companion.lesson.progress.writer", str(tmp_path / "progress.sqlite")]
    done = subprocess.run([*words, str(KILLS)], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) >= KILLS / 2


def test_two_programs_that_write_at_once_lose_nothing(tmp_path: Path) -> None:
    """Each has its takes, and those that both tell of count once."""
    path = tmp_path / "progress.sqlite"
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", WRITES_AT_ONCE, str(path), str(TAKES * rank)],
            cwd=ROOT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        for rank in range(2)
    ]
    for writer in writers:
        assert writer.stdout is not None
        assert writer.stdout.readline() == "ready\n"
    for writer in writers:
        assert writer.stdin is not None
        writer.stdin.write("go\n")
        writer.stdin.flush()
    for writer in writers:
        writer.communicate()
        assert writer.returncode == 0
    book = ProgressBook(path)
    assert len(book.steps_done(LEARNER, a_tune())) == 2 * TAKES
    account = book.account(LEARNER, on_day(1))
    assert account.takes == 3 * TAKES
    assert sum(point.asked for series in account.embellishments for point in series.points) == 3 * TAKES * 10
    book.close()


def test_threads_may_share_one_book(tmp_path: Path) -> None:
    """The window asks while rounds and earlier takes are taken in."""
    book, tune = ProgressBook(tmp_path / "progress.sqlite"), a_tune()

    def write(first: int) -> None:
        for number in range(first, first + 20):
            book.take_in(LEARNER, take(on_day(0, number / 100), heard(TAORLUATH, 10, 10)), on_day(0))
            book.step_done(LEARNER, tune, step_of(number), on_day(0))

    threads = [threading.Thread(target=write, args=(20 * rank,)) for rank in range(3)]
    for thread in threads:
        thread.start()
    while any(thread.is_alive() for thread in threads):
        book.known(LEARNER, on_day(0))
    assert len(book.steps_done(LEARNER, tune)) == 60
    assert book.account(LEARNER, on_day(0)).takes == 60
    book.close()
