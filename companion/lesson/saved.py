"""The lesson of a tune as it was saved: beside the tune, or, of a tune that comes with the program, in the user's own
folder; where none was saved, as it is made."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from companion.files.folders import data_folder, from_home
from companion.lesson.model.known import NOTHING_KNOWN, Known
from companion.lesson.model.steps import Lesson
from companion.lesson.phrases.plan import plan_of
from companion.lesson.steps.kept.lesson_file import lesson_path, read_lesson, write_lesson
from companion.lesson.steps.lesson import lesson_of
from companion.score.bundled import bundled_folder
from companion.score.formats.books import read_tunes
from companion.score.model import Tune
from fingering.errors import UserError

FOLDER = "lessons"


@dataclass(frozen=True, slots=True)
class FoundLesson:
    """A lesson, and one line on what could not be read of its file; "" where all could, and where there is none."""

    lesson: Lesson
    trouble: str = ""


def find_lesson(tune: Tune, known: Known = NOTHING_KNOWN) -> FoundLesson:
    """The lesson of a tune as it was saved, else as it is made for a learner who knows so much."""
    plan = plan_of(tune)
    made = lesson_of(tune, plan, known)
    try:
        path = file_of(tune)
    except UserError:  # the tune's own file is gone: so nothing stands beside it
        return FoundLesson(made)
    try:
        if not path.exists():
            return FoundLesson(made)
        read = read_lesson(path, tune, plan)
    except (UserError, OSError) as error:
        return FoundLesson(made, f"the saved lesson cannot be read: {error}")
    return FoundLesson(read.lesson, read.unfit[0] if read.unfit else "")


def save_lesson(lesson: Lesson) -> str:
    """Save a lesson, and return where, as people read it. Raises UserError."""
    path = file_of(lesson.tune)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UserError(f"{path.parent} cannot be made ({error.strerror})", "make room for it", str(path)) from None
    write_lesson(path, lesson)
    return from_home(path)


def file_of(tune: Tune) -> Path:
    """The file of a tune's lesson, whether it is there or not. Raises UserError where the tune's own cannot be read."""
    source = Path(tune.place.source)
    book = read_tunes(source)
    there = next((each for each in book.tunes if each.place == tune.place), tune)
    beside = lesson_path(source, book, there)
    own = bundled_folder().resolve() in source.resolve().parents
    return data_folder() / FOLDER / beside.name if own else beside
