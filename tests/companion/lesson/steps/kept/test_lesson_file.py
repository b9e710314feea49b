"""The file of a lesson: a teacher's own words in it stay, and what does not fit the tune is said with its place."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from companion.lesson.model.steps import Goal, Lesson, Pace, StepKind
from companion.lesson.steps.editing import added, changed, dropped, moved
from companion.lesson.steps.kept.lesson_file import LessonRead, lesson_path, read_lesson, write_lesson
from companion.score.abc import read_abc
from companion.score.bundled import bundled_files
from companion.score.model import Tune
from fingering.errors import UserError
from tests.companion.lesson.steps.tunes import all_tunes, lesson_named, of_kind

JIG = "The Ropewalk Cat"
SHORT = """\
# Mairi's lesson, from March on
school = "Tarrowick"

[[step]]
kind = "phrase"
bars = [1, 2]

# she hurries here
[[step]]
kind = "embellishment in its place"  # as on the board
play = "gfg>f"
bars = [2, 2]
tempo = 40   # no faster
colour = "green"

[[step]]
kind = "whole tune"

[notes]
next = "the strathspey"
"""


def written(path: Path, text: str) -> Path:
    """A file of that text."""
    path.write_text(text, encoding="utf-8")
    return path


def read(path: Path, lesson: Lesson) -> LessonRead:
    """Read a file for the tune of a lesson."""
    return read_lesson(path, lesson.tune, lesson.plan)


@pytest.mark.parametrize("tune", all_tunes(), ids=lambda tune: tune.title)
def test_a_lesson_is_read_as_it_was_written(tune: Tune, tmp_path: Path) -> None:
    """Every lesson of ours, and writing it again changes no byte."""
    lesson = lesson_named(tune.title)
    path = tmp_path / "tune.lesson.toml"
    write_lesson(path, lesson)
    assert read(path, lesson) == LessonRead(lesson)
    once = path.read_bytes()
    write_lesson(path, lesson)
    assert path.read_bytes() == once


def test_the_file_stands_beside_the_tune() -> None:
    """With the tune's number where a file holds several."""
    names: dict[str, Path] = {}
    for file in bundled_files():
        book = read_abc(file)
        names |= {tune.title: lesson_path(file, book, tune) for tune in book.tunes}
        assert all(lesson_path(file, book, tune).parent == file.parent for tune in book.tunes)
    assert names[JIG].name == "the-ropewalk-cat.lesson.toml"
    assert names["Birls"].name == "drills.14.lesson.toml"


def test_a_teacher_writes_as_little_as_they_like(tmp_path: Path) -> None:
    """What is not given is as usual for its kind."""
    lesson = lesson_named(JIG)
    told = read(written(tmp_path / "x.toml", SHORT), lesson)
    phrase, in_place, whole = told.lesson.steps
    assert told.unfit == ()
    assert (phrase.kind, phrase.what, phrase.bars) == (StepKind.PHRASE, "bars 1 and 2", (1, 2))
    assert phrase.goal == of_kind(lesson, StepKind.PHRASE)[0].goal
    assert in_place.beats_per_minute == 40.0
    assert in_place.skill is not None
    assert in_place.skill.key == "gfg>f"
    assert whole.stretch is None


def test_comments_and_keys_of_a_teacher_stay(tmp_path: Path) -> None:
    """Whatever happens to the steps: the comment above one goes with it."""
    path = written(tmp_path / "x.toml", SHORT)
    lesson = read(path, lesson_named(JIG)).lesson
    write_lesson(path, lesson)
    assert path.read_text(encoding="utf-8") == SHORT
    turned = moved(changed(lesson, 1, Pace(44.0, 2.0), Goal(4, 44.0, 1.5)), 1, 0)
    write_lesson(path, turned)
    text = path.read_text(encoding="utf-8")
    assert read(path, lesson).lesson == turned
    assert text.startswith('# Mairi\'s lesson, from March on\nschool = "Tarrowick"\n\n# she hurries here\n[[step]]\n')
    assert "tempo = 44   # no faster" in text
    assert 'kind = "embellishment in its place"  # as on the board' in text
    assert text.endswith('[notes]\nnext = "the strathspey"\n')
    plain = tomllib.loads(text)
    assert plain["step"][0]["colour"] == "green"
    assert plain["school"] == "Tarrowick"


def test_dropped_steps_go_and_new_ones_come(tmp_path: Path) -> None:
    """In their places."""
    path = written(tmp_path / "x.toml", SHORT)
    lesson = read(path, lesson_named(JIG)).lesson
    part = of_kind(lesson_named(JIG), StepKind.PART)[0]
    other = added(dropped(lesson, 1), 1, part)
    write_lesson(path, other)
    text = path.read_text(encoding="utf-8")
    assert read(path, lesson).lesson == other
    assert "she hurries here" not in text
    assert "from March on" in text


def test_what_no_longer_fits_the_tune_is_said_and_stays(tmp_path: Path) -> None:
    """The other steps are read; writing leaves it in the file, for the tune that it was made for."""
    lines = '[[step]]\nkind = "phrase"\nbars = [90, 91]\n\n[[step]]\nkind = "line"\nbars = [1, 8]\n'
    path = written(tmp_path / "x.toml", f'tune = "Another"\n\n{lines}')
    told = read(path, lesson_named(JIG))
    assert [step.kind for step in told.lesson.steps] == [StepKind.LINE]
    assert told.unfit == (
        f"{path}: this lesson was made for 'Another' and is matched by its bars; look through its steps",
        f"{path}:3: the tune has no bar 90; this step is left out: mend its bars, or delete it",
    )
    write_lesson(path, told.lesson)
    assert "bars = [90, 91]" in path.read_text(encoding="utf-8")
    assert read(path, told.lesson).lesson == told.lesson


@pytest.mark.parametrize(
    ("step", "line", "what"),
    [
        ('kind = "dance"', 4, "'kind' is none of"),
        ("bars = [1, 2]", 2, "there is no 'kind'"),
        ('kind = "phrase"\nbars = [2, 1]', 5, "'bars' has the last one first"),
        ('kind = "phrase"\nbars = "all"', 5, "'bars' is not a row of 2"),
        ('kind = "phrase"', 2, "there is no 'bars'"),
        ('kind = "phrase"\nbars = [1, 2]\ntempo = 4000', 6, "'tempo' is not a number from 10 to 400"),
        ('kind = "phrase"\nbars = [1, 2]\nslow = 0.5', 6, "'slow' is not a number from 1 to 32"),
        ('kind = "phrase"\nbars = [1, 2]\ntempo = 90\ngoal_tempo = 80', 6, "begins faster than the goal"),
        ('kind = "phrase"\nbars = [1, 2]\nin_a_row = 0', 6, "'in_a_row' is not a whole number from 1 to 20"),
        ('kind = "embellishment"\nplay = "c"', 5, "'play' is 'c', not gracenotes"),
        ('kind = "embellishment"\nplay = "xyz>c"', 5, "the chanter has no note 'x'"),
        ('kind = "change of note"\nplay = "c>c"', 5, "'play' is 'c>c', not two notes"),
    ],
)
def test_a_value_that_is_none_is_told_at_its_line(step: str, line: int, what: str, tmp_path: Path) -> None:
    """With what to do."""
    path = written(tmp_path / "x.toml", f"# a lesson\n[[step]]\n# a comment\n{step}\n")
    with pytest.raises(UserError) as caught:
        read(path, lesson_named(JIG))
    assert caught.value.where == f"{path}:{line}"
    assert what in caught.value.what
    assert caught.value.remedy == "mend it, or delete the step"


@pytest.mark.parametrize(
    ("data", "where", "what"),
    [
        (b"[[step]]\nkind = phrase\n", ":2", "this is not TOML"),
        (b"[[step]]\nkind = 'phrase", ":2", "this is not TOML"),
        (b'tune = "x"\n', "", "there is no step"),
        (b'step = "x"\n', "", "there is no step"),
        (b"# x\n\xff\n", ":2", "this is not UTF-8"),
        (b"a = " + b"[" * 5000, "", "nested too deep"),
    ],
)
def test_a_file_that_is_no_lesson_is_refused(data: bytes, where: str, what: str, tmp_path: Path) -> None:
    """With its line, where there is one."""
    path = tmp_path / "x.toml"
    path.write_bytes(data)
    with pytest.raises(UserError) as caught:
        read(path, lesson_named(JIG))
    assert caught.value.where == f"{path}{where}"
    assert what in caught.value.what


@settings(max_examples=40)
@given(some.binary(max_size=200), some.text(max_size=200))
def test_only_user_errors_come_of_any_file(tmp_path_factory: pytest.TempPathFactory, raw: bytes, text: str) -> None:
    """Of bytes, and of any text as the values of a step."""
    lesson = lesson_named(JIG)
    path = tmp_path_factory.getbasetemp() / "any.toml"
    for data in (raw, f'[[step]]\nkind = "phrase"\nbars = [1, 2]\n{text}'.encode("utf-8", "replace")):
        path.write_bytes(data)
        try:
            read(path, lesson)
            write_lesson(path, lesson)
        except UserError:
            continue


def test_what_cannot_be_kept_is_not_written_over(tmp_path: Path) -> None:
    """Steps in one line, and text that is no TOML, stay as they are."""
    lesson = lesson_named(JIG)
    for text in ('step = [{kind = "phrase", bars = [1, 2]}]\n', "[[step\n"):
        path = written(tmp_path / "x.toml", text)
        with pytest.raises(UserError):
            write_lesson(path, lesson)
        assert path.read_text(encoding="utf-8") == text
    with pytest.raises(UserError, match="no step"):
        write_lesson(tmp_path / "y.toml", replace(lesson, steps=()))
    assert not (tmp_path / "y.toml").exists()
