"""What the window knows and keeps of the learner who goes through a lesson: what is known, what was done and played."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial
from types import MappingProxyType

from companion.files.lines import one_line
from companion.files.worker import Failed, Worker, fault_line
from companion.lesson.model.known import Known
from companion.lesson.model.steps import Lesson, Step
from companion.lesson.progress.account import Account
from companion.lesson.progress.book import ProgressBook
from companion.lesson.progress.heard import played_take
from companion.lesson.saved import find_lesson, save_lesson
from companion.lesson.steps.sitting import Course, Sitting
from companion.score.model import Tune
from companion.window.lesson.step_kept import leaves_take
from companion.window.live.second_hearing import HeardRun
from fingering.errors import UserError

UNKEPT = "what you have done of this lesson is kept only until the program ends"


def local_now() -> datetime:
    """The time here and now, with its zone."""
    return datetime.now().astimezone()


class Teaching:
    """A learner's lessons while the window is open. Rounds go into the book in threads of their own, since a frame must
    not wait for the disk. For one thread."""

    def __init__(self, book: ProgressBook, learner: str = "", now: Callable[[], datetime] = local_now) -> None:
        self._book = book
        self._learner = learner
        self._now = now
        self._writing: list[Worker[object]] = []

    @classmethod
    def at_home(cls, learner: str = "") -> Teaching:
        """Return the teaching that keeps its book in the user's own folder."""
        return cls(ProgressBook.at_home(), learner)

    @property
    def trouble(self) -> str:
        """The line for the screen where the book cannot be kept, or something could not be written in it."""
        for worker in self._writing:
            if isinstance(worker.outcome, Failed):
                return fault_line(UNKEPT, worker.outcome.error, "make room, and go on")
        return one_line(str(self._book.trouble)) if self._book.trouble else ""

    @property
    def known(self) -> Known:
        """What the learner knows by now."""
        return self._book.known(self._learner, self._now())

    def course(self, tune: Tune) -> tuple[Course, str]:
        """The lesson of a tune and what the learner has done of it; and a line on what was wrong with either."""
        found = find_lesson(tune, self.known)
        done = self._book.steps_done(self._learner, tune)
        aside = MappingProxyType(dict(self._book.steps_aside(self._learner, tune)))
        return Course(found.lesson, done, aside), found.trouble or self.trouble

    def account(self) -> Account:
        """What has become of the learner's practice."""
        self._wait()
        return self._book.account(self._learner, self._now())

    def save(self, lesson: Lesson) -> str:
        """Keep a lesson as a teacher has ordered it; returns one line that says where, or why not."""
        try:
            return f"Saved as {save_lesson(lesson)}."
        except UserError as error:
            return f"Not saved: {error}."

    def keep(self, step: Step, heard: HeardRun, before: Course, after: Sitting) -> None:
        """Keep what came of a round. before: what was done before it."""
        now, tune = self._now(), after.course.lesson.tune
        if heard.judged and not leaves_take(step):  # what leaves a take goes into the book with that
            take = played_take(heard.judged, tune if step.kind.is_of_the_tune else None, "", now)
            self._write(partial(self._book.take_in, self._learner, take, now))
        for key in after.course.done - before.done:
            self._write(partial(self._book.step_done, self._learner, tune, key, now))
        for key, times in after.course.aside.items():
            if times != before.aside.get(key):
                self._write(partial(self._book.step_set_aside, self._learner, tune, key, times))

    def close(self) -> None:
        """Returns when all is on the disk, or cannot be."""
        self._wait()
        self._book.close()

    def _write(self, work: Callable[[], object]) -> None:
        worker = Worker(work, "progress writer", daemon=False)
        worker.start()
        self._writing.append(worker)

    def _wait(self) -> None:
        for worker in self._writing:
            worker.join()
