"""What has become of a learner's practice, in the window."""

from __future__ import annotations

import threading

from companion.lesson.progress.account import Account
from companion.window.core.actions import Action
from companion.window.core.display import Display
from companion.window.core.marks import Label, Role, Rule
from companion.window.core.screen import Canvas, ScreenResult
from companion.window.progress.progress_rows import POINTS, progress_rows
from companion.window.progress.progress_screen import HEARING, ProgressScreen
from tests.companion.window.lettered import lettering_for
from tests.companion.window.progress.accounts import TODAY, account

SIZE = (1280, 720)


def test_each_skill_and_tune_has_a_row_with_its_days() -> None:
    rows = progress_rows(account())
    assert [row.name for row in rows if row.is_heading] == [
        "Embellishments, how clean of late",
        "Changes of note to mend",
        "Tunes, how fast",
    ]
    taorluath = next(row for row in rows if row.name.startswith("taorluath"))
    assert taorluath.shares == tuple(sorted(taorluath.shares)), "better from day to day"
    assert "of 20 clean" in taorluath.words
    assert taorluath.words.endswith("due")
    assert all(0.0 <= share <= 1.0 for row in rows for share in row.shares)
    assert all(len(row.shares) <= POINTS for row in rows)


def test_of_nobody_there_is_the_sentence_for_today_alone() -> None:
    assert progress_rows(Account("", TODAY)) == ()
    screen = ProgressScreen(Account("", TODAY))
    assert screen.state.today == "Today: Play a tune along: what is heard of it stands here from then on."


def test_the_latest_day_is_the_dark_column() -> None:
    screen = ProgressScreen(account())
    canvas = Canvas(*SIZE, Display(), lettering_for(SIZE, Display()))
    picture = screen.picture(canvas)
    columns = [mark for mark in picture.still if isinstance(mark, Rule) and mark.x0 == mark.x1 and mark.width > 5.0]
    assert {mark.role for mark in columns} == {Role.PAST, Role.INK}
    rows = [mark for mark in picture.still if isinstance(mark, Label) and "clean," in mark.text]
    assert sum(mark.role is Role.INK for mark in columns) >= len(rows)


def test_earlier_takes_are_heard_meanwhile_and_stand_there_then() -> None:
    ready = threading.Event()

    def hear() -> Account:
        ready.wait()
        return account()

    screen = ProgressScreen(Account("", TODAY), hear_earlier=hear)
    assert screen.state.line == HEARING
    screen.tick()
    assert screen.state.rows == ()
    ready.set()
    screen.wait()
    assert screen.state.line == ""
    assert screen.state.rows


def test_it_scrolls_and_goes_back() -> None:
    screen = ProgressScreen(account())
    for _ in range(100):
        screen.act(Action.TEMPO_DOWN)
    assert screen.state.first == len(screen.state.rows) - 1
    screen.act(Action.TEMPO_UP)
    assert screen.state.first == len(screen.state.rows) - 2
    assert screen.act(Action.LEAVE) is ScreenResult.CLOSE
