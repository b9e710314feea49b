"""Reads and writes the file of a lesson, beside its tune: TOML, made to be read and changed in any editor.

What a teacher has written in it besides stays: comments, keys that the program does not know, and steps that no longer
fit the tune.
"""

from __future__ import annotations

import re
import textwrap
import tomllib
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import tomlkit

from companion.files.kept_json import Table, Unfit
from companion.files.lines import one_line, quoted
from companion.files.reading import read_limited
from companion.files.writing import write_whole
from companion.lesson.model.phrases import TunePlan
from companion.lesson.model.steps import Lesson, Step, StepKey, StepKind
from companion.lesson.steps.kept.blocks import Blocks, StepBlock, cut
from companion.lesson.steps.kept.plain_step import NotInTune, from_plain, to_plain
from companion.lesson.steps.needs import Needs, needs_of
from companion.score.model import Tune, Tunebook
from fingering.errors import UserError

MOST_BYTES = 1_000_000
"""A lesson of a hundred steps has some 20 kB."""

ENDING = ".lesson.toml"

_WIDTH = 100
_LINE = re.compile(r"\(at line (\d+), column \d+\)")
_KEY = re.compile(r"'(\w+)'")


@dataclass(frozen=True, slots=True)
class LessonRead:
    """A lesson as a teacher ordered it. unfit: what of its file does not fit the tune, each a line with its place."""

    lesson: Lesson
    unfit: tuple[str, ...] = ()


def lesson_path(file: Path, book: Tunebook, tune: Tune) -> Path:
    """The file of a tune's lesson: beside the tune's own file, with the number of the tune where that holds several."""
    if len(book.tunes) == 1:
        return file.with_name(f"{file.stem}{ENDING}")
    rank = next((rank for rank, each in enumerate(book.tunes, start=1) if each is tune), 1)
    number = tune.reference if tune.reference.isalnum() and tune.reference.isascii() else str(rank)
    return file.with_name(f"{file.stem}.{number}{ENDING}")


def read_lesson(path: Path, tune: Tune, plan: TunePlan) -> LessonRead:
    """Read the lesson of a tune. Raises UserError, with file and line, for a file that is not one."""
    place = one_line(str(path))
    text = _text(path)
    plain = _parsed(text, place)
    rows = plain.get("step")
    blocks = cut(text).steps
    if not isinstance(rows, list) or not rows or not all(isinstance(row, dict) for row in rows):
        raise UserError("there is no step in this lesson", "write each as [[step]], with its kind and bars", place)
    needs = needs_of(tune)
    steps: list[Step] = []
    unfit = list(_of_another_tune(plain, tune, place))
    for rank, row in enumerate(rows):
        block = blocks[rank] if len(blocks) == len(rows) else None
        try:
            steps.append(_step(row, block, tune, needs, place))
        except NotInTune as error:
            where = f"{place}:{block.line}" if block else place
            unfit.append(str(UserError(f"{error}", "this step is left out: mend its bars, or delete it", where)))
    return LessonRead(Lesson(tune, plan, tuple(steps)), tuple(unfit))


def _of_another_tune(plain: Mapping[str, Any], tune: Tune, place: str) -> Iterator[str]:
    title = plain.get("tune", tune.title)
    if title != tune.title:
        what = f"this lesson was made for {quoted(str(title))} and is matched by its bars"
        yield str(UserError(what, "look through its steps", place))


def _step(row: Mapping[str, Any], block: StepBlock | None, tune: Tune, needs: Needs, place: str) -> Step:
    """One step. Raises UserError for a value that is none, at its line, and NotInTune."""
    try:
        return from_plain(Table(row), tune, needs)
    except Unfit as error:
        key = _KEY.search(str(error))
        where = f"{place}:{block.line_of(key[1] if key else '')}" if block else place
        raise UserError(f"in this step {error}", "mend it, or delete the step", where) from None


def _text(path: Path) -> str:
    data = read_limited(path, MOST_BYTES, "no lesson is so long: choose another file")
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise UserError("this is not UTF-8", "save it as UTF-8", f"{one_line(str(path))}:{line}") from None


def _parsed(text: str, place: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise UserError("this is nested too deep to be a lesson", "choose another file", place) from None
    except ValueError as error:
        told = one_line(str(error))
        line = _LINE.search(told)
        number = line[1] if line else str(text.count("\n") + 1)
        why = told.partition(" (at ")[0]
        raise UserError(f"this is not TOML: {why}", "mend that line", f"{place}:{number}") from None


def write_lesson(path: Path, lesson: Lesson) -> None:
    """Write the lesson of a tune, whole or not at all; of the file that stands there all else is kept.

    Raises UserError where it cannot be written, and where what stands there cannot be kept.
    """
    if not lesson.steps:
        raise UserError("this lesson has no step, so it is not written", "add one, or delete its file", str(path))
    try:
        before = _text(path) if path.exists() else ""
    except OSError:  # a name that no file can have: writing says so
        before = ""
    text = _rewritten(before, lesson, one_line(str(path))) if before.strip() else _new(lesson)
    write_whole(path, text.encode(), force=True)


def _new(lesson: Lesson) -> str:
    return Blocks(_head(lesson.tune), (), "").text(_fresh(step) for step in lesson.steps)


def _head(tune: Tune) -> str:
    names = ", ".join(f'"{kind.value}"' for kind in StepKind)
    kinds = "\n#        ".join(textwrap.wrap(names, _WIDTH))
    return f"""\
# The lesson of a tune: its steps, in the order in which they are learnt. Move, change, delete or add what you like.
# kind   {kinds}
# bars   the first and the last, as they are numbered
# play   gracenotes and the note that they lead onto ("gcd>c"), or the two notes of a change ("c>e")
# tempo, slow             how it begins: beats a minute, and how many times slower than that
# goal_tempo, goal_slow   where it ends
# in_a_row, slips         so often in a row with no more slips than these, and it is done
{tomlkit.dumps({"tune": tune.title})}"""


def _fresh(step: Step) -> str:
    document = tomlkit.document()
    rows = tomlkit.aot()
    rows.append(tomlkit.item(to_plain(step)))
    document["step"] = rows
    return tomlkit.dumps(document)


def _rewritten(before: str, lesson: Lesson, place: str) -> str:
    """The file with its steps as they are now: each has its own block, what is new has a new one."""
    rows = _parsed(before, place).get("step", [])
    blocks = cut(before)
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows) or not _agree(blocks, rows):
        raise UserError(
            "the steps in this file are written in a way that cannot be kept",
            "write each as [[step]], with a line for each value",
            place,
        )
    needs = needs_of(lesson.tune)
    known: dict[StepKey, list[tuple[Step, str]]] = defaultdict(list)
    unfit: list[str] = []
    for block, row in zip(blocks.steps, rows, strict=True):
        try:
            step = _step(row, block, lesson.tune, needs, place)
        except NotInTune:
            unfit.append(block.text)
        else:
            known[step.key].append((step, block.text))
    return blocks.text(iter([*(_block(step, known[step.key]) for step in lesson.steps), *unfit]))


def _agree(blocks: Blocks, rows: list[Any]) -> bool:
    """Whether each block, by itself, says what the file says of its step."""
    if len(blocks.steps) != len(rows):
        return False
    try:
        return all(tomllib.loads(block.text) == {"step": [row]} for block, row in zip(blocks.steps, rows, strict=True))
    except ValueError:
        return False


def _block(step: Step, kept: list[tuple[Step, str]]) -> str:
    """The lines of a step: those that it had, with the values that have changed."""
    if not kept:
        return _fresh(step)
    old, text = kept.pop(0)
    if old == step:
        return text
    document = tomlkit.parse(text)
    rows: Any = document["step"]
    was = to_plain(old)
    for key, value in to_plain(step).items():
        if was.get(key) != value:
            rows[0][key] = value
    return tomlkit.dumps(document)
