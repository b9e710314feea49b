"""The process that engraves: it begins, answers, fails and ends, and the window never waits for it."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from companion.commands.shared.tune_list import bundled_tunes
from companion.score.model import Tune
from companion.window.core.marks import Rect
from companion.window.staff.cuts import StaffCut
from companion.window.staff.drawing import draw_line
from companion.window.staff.maker import MOST_WAITING, StaffMaker
from companion.window.staff.staff_line import EngravedLine, StaffRoom

PATIENCE_S = 60.0
ROOM = StaffRoom.of(Rect(0.0, 0.0, 758.0, 80.0))
CUT = StaffCut(0, 3)
AT_ONCE_S = 0.05
"""No call takes longer, however busy the computer is."""


@pytest.fixture
def maker() -> Iterator[StaffMaker]:
    """One that is closed afterwards, with nothing left behind."""
    made = StaffMaker()
    yield made
    made.close()
    assert made._child is None or made._child.poll() is not None


def wait_until(happened: Callable[[], bool]) -> None:
    """Wait for something that is bound to happen."""
    until_s = time.monotonic() + PATIENCE_S
    while not happened():
        assert time.monotonic() < until_s
        time.sleep(0.005)


def line_of(maker: StaffMaker, tune: Tune, cut: StaffCut = CUT, room: StaffRoom = ROOM) -> EngravedLine:
    """A line once it is ready; no call waits."""
    while True:
        began_s = time.monotonic()
        line = maker.line(tune, cut, room)
        assert time.monotonic() - began_s < AT_ONCE_S
        assert not maker.trouble
        if line is not None:
            return line
        wait_until(lambda: maker.line(tune, cut, room) is not None or bool(maker.trouble))


def test_it_makes_what_is_drawn_here(maker: StaffMaker) -> None:
    """Pixel for pixel and head for head, for one tune after the other."""
    maker.begin()
    for tune in bundled_tunes()[:2]:
        made, here = line_of(maker, tune), draw_line(tune, CUT, ROOM)
        assert (made.mask.lines, made.mask.notes, made.heads) == (here.mask.lines, here.mask.notes, here.heads)
    assert maker.is_there


@pytest.mark.same_everywhere
def test_nothing_is_made_before_it_begins(maker: StaffMaker) -> None:
    """What was asked for meanwhile comes then."""
    tune = bundled_tunes()[0]
    assert maker.line(tune, CUT, ROOM) is None
    assert maker._child is None
    maker.begin()
    wait_until(lambda: maker.line(tune, CUT, ROOM) is not None)


@pytest.mark.same_everywhere
def test_wishes_that_are_out_of_date_are_forgotten(maker: StaffMaker) -> None:
    """Of many sizes, as while a window is resized, only the last few are made."""
    tune = bundled_tunes()[0]
    rooms = [StaffRoom(600 + width, 80, 7) for width in range(40)]
    for each in rooms:
        maker.line(tune, CUT, each)
    maker.begin()
    wait_until(lambda: maker.line(tune, CUT, rooms[-1]) is not None)
    made = [each for each in rooms if (tune, each) in {(wish.tune, wish.room) for wish in maker._lines}]
    assert rooms[-1] in made
    assert len(made) <= MOST_WAITING


@pytest.mark.same_everywhere
def test_a_line_stays_once_it_is_made(maker: StaffMaker) -> None:
    """It is the same object each time, so that it is painted once."""
    maker.begin()
    tune = bundled_tunes()[0]
    assert line_of(maker, tune) is line_of(maker, tune)


def test_a_process_that_ends_by_itself_is_told_in_one_line(maker: StaffMaker) -> None:
    """The staff gives its room back, and nothing hangs."""
    maker.begin()
    line_of(maker, bundled_tunes()[0])
    assert maker._child
    os.kill(maker._child.pid, signal.SIGKILL)
    maker.line(bundled_tunes()[1], CUT, ROOM)
    wait_until(lambda: not maker.is_there)
    assert "staff" in maker.trouble
    assert "\n" not in maker.trouble


@pytest.mark.parametrize("missing", ["verovio", "resvg_py"])
def test_where_a_library_is_missing_one_line_says_so(
    missing: str, maker: StaffMaker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is missing and how to have it."""
    (tmp_path / f"{missing}.py").write_text("raise ImportError('it is not here')\n")
    monkeypatch.setenv("PYTHONPATH", f"{tmp_path}{os.pathsep}{os.environ.get('PYTHONPATH', '')}")
    maker.begin()
    wait_until(lambda: not maker.is_there)
    assert "cannot be loaded" in maker.trouble
    assert "pip install" in maker.trouble
    assert maker.line(bundled_tunes()[0], CUT, ROOM) is None


def test_closed_while_it_begins_it_leaves_nothing(maker: StaffMaker) -> None:
    """However early the window closes."""
    maker.begin()
    maker.line(bundled_tunes()[0], CUT, ROOM)
    maker.close()
    wait_until(lambda: maker._child is None or maker._child.poll() is not None)
