"""A lesson that a teacher saved is the lesson of its tune from then on."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from companion.lesson.saved import file_of, find_lesson, save_lesson
from companion.score.abc import read_abc
from companion.score.bundled import real_tunes
from companion.score.model import Tune
from fingering.errors import UserError

MINE = "%abc-2.1\nX:1\nT:Mine\nM:4/4\nL:1/8\nK:HP\nA2{g}B2c2d2|e2f2e2d2|A2{g}B2c2d2|e2c2B2A2|\n"
TWO = f"{MINE}\nX:7\nT:The other\nM:4/4\nL:1/8\nK:HP\nA2{{g}}B2c2d2|e2f2e2d2|\n"


@pytest.fixture
def tune(tmp_path: Path) -> Tune:
    """A tune in a file of its own."""
    (tmp_path / "mine.abc").write_text(MINE)
    return read_abc(tmp_path / "mine.abc").tunes[0]


def test_it_stands_beside_the_tune_and_is_found_again(tune: Tune, tmp_path: Path) -> None:
    made = find_lesson(tune).lesson
    shorter = replace(made, steps=made.steps[2:])
    assert save_lesson(shorter) == str(tmp_path / "mine.lesson.toml")
    again = find_lesson(tune)
    assert [step.key for step in again.lesson.steps] == [step.key for step in shorter.steps]
    assert again.trouble == ""


def test_each_tune_of_a_file_has_its_own(tmp_path: Path) -> None:
    (tmp_path / "two.abc").write_text(TWO)
    names = [file_of(tune).name for tune in read_abc(tmp_path / "two.abc").tunes]
    assert names == ["two.1.lesson.toml", "two.7.lesson.toml"]


def test_that_of_a_tune_of_ours_stands_in_the_users_own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the program lies nobody may write, and the next version would take it away."""
    monkeypatch.setenv("EIGHTHOLES_DATA", str(tmp_path))
    ours = next(iter(real_tunes()))
    lesson = find_lesson(ours).lesson
    save_lesson(lesson)
    assert file_of(ours).parent == tmp_path / "lessons"
    assert find_lesson(ours).lesson.steps == lesson.steps


def test_what_cannot_be_read_is_said_and_the_lesson_is_made(tune: Tune, tmp_path: Path) -> None:
    (tmp_path / "mine.lesson.toml").write_text('tune = "Mine"\n[[step]]\nkind = "dance"\nbars = [1, 2]\n')
    found = find_lesson(tune)
    assert found.lesson.steps
    assert "mine.lesson.toml:3" in found.trouble


def test_a_folder_that_cannot_be_made_is_a_users_error(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("EIGHTHOLES_DATA", str(tmp_path / "file"))
    with pytest.raises(UserError, match="cannot be made"):
        save_lesson(find_lesson(next(iter(real_tunes()))).lesson)
