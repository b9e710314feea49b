"""Navigation from the playing screen to what has become of its learner's practice."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

from companion.files.folders import takes_folder
from companion.files.lines import one_line
from companion.lesson.progress.account import Account
from companion.lesson.progress.book import ProgressBook
from companion.lesson.progress.earlier import files_to_take_in, take_in_earlier
from companion.window.core.actions import Action
from companion.window.core.screen import Screen
from companion.window.lesson.teaching import local_now
from companion.window.play.play_screen import PlayScreen
from companion.window.progress.progress_screen import ProgressScreen


def progress_over(screen: PlayScreen) -> ProgressScreen:
    """The account of the learner's practice; the tune stands still meanwhile, and goes on as it stood afterwards."""
    going_on = screen.state.playing
    screen.lend().pause()
    book, learner = ProgressBook.at_home(), screen.live.learner
    files = files_to_take_in(book, takes_folder(), local_now()) if book.is_kept else ()

    def hear_earlier() -> Account:
        take_in_earlier(book, learner, files, screen.own_settings, local_now())
        return book.account(learner, local_now())

    def let_go() -> None:
        screen.resume(replace(screen.state, playing=going_on))

    trouble = one_line(str(book.trouble)) if book.trouble else ""
    return ProgressScreen(book.account(learner, local_now()), trouble, hear_earlier if files else None, let_go)


PROGRESS_NAVIGATION: Mapping[Action, Callable[[PlayScreen], Screen | None]] = MappingProxyType(
    {Action.PROGRESS: progress_over}
)
