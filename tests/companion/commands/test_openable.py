"""A word that is no command opens what it stands for, or is refused with what is close to it."""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.__main__ import COMMANDS, main
from companion.commands.shared.openable import words_to_open
from companion.commands.shared.tune_list import our_tunes, tune_list_for
from companion.commands.show import folder_named
from fingering.errors import UserError
from tests.companion.window.choose.choosing import tune_text

pytestmark = pytest.mark.same_everywhere


@pytest.mark.parametrize(
    ("word", "words"),
    [
        ("the-keepers-window", ["the-keepers-window"]),
        ("the-keepers-window.abc", ["the-keepers-window"]),
        ("The Keeper's Window", ["the-keepers-window"]),
        ("the keepers WINDOW", ["the-keepers-window"]),
        ("drills", ["drills"]),
        ("Birls", ["drills", "--tune", "14"]),
    ],
)
def test_a_tune_of_ours_is_named_by_file_or_title(word: str, words: list[str]) -> None:
    """Whatever the case and the signs between words."""
    assert words_to_open(word, tuple(COMMANDS)) == words


def test_every_title_of_ours_opens_that_tune() -> None:
    """Drills too, which share a file."""
    ours = our_tunes()
    for tune in (*ours.tunes, *ours.drills):
        name, *more = words_to_open(tune.title, ())
        assert tune_list_for(name, int(more[1]) if more else None).first.title == tune.title


def test_a_path_comes_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Before a name of ours; a command before both."""
    monkeypatch.chdir(tmp_path)
    Path("drills").write_text(tune_text(1, "Mine"))
    Path("show").mkdir()
    assert words_to_open("drills", ()) == ["drills"]
    assert tune_list_for("drills", None).first.title == "Mine"
    assert words_to_open(str(tmp_path), ()) == [str(tmp_path)]
    assert folder_named(str(tmp_path))
    assert not folder_named("drills")
    assert not folder_named("")


@pytest.mark.parametrize(
    ("word", "told"),
    [
        ("shwo", "there is no command 'shwo', nor such a file or tune; try show"),
        ("keeper window", "there is no command 'keeper window', nor such a file or tune; try The Keeper's Window"),
        ("zzzz", "give a file, or one of show, picture"),
        ("x" * 10_000, "nor such a file or tune"),
        ("", "there is no command ''"),
        ("a\0b", "there is no command 'a<00>b'"),
        ("--slow", "there is no command '--slow'"),
    ],
)
def test_any_other_word_is_refused_with_close_names(word: str, told: str, capsys: pytest.CaptureFixture[str]) -> None:
    """In one line."""
    assert main([word]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 1
    assert told in lines[0]
    assert len(lines[0]) < 400


def test_close_names_of_commands_are_listed() -> None:
    """Several, where several are close."""
    with pytest.raises(UserError) as caught:
        words_to_open("chek", ("check", "cheek", "ports"))
    names = caught.value.remedy.removeprefix("try one of ").split(", ")
    assert {"check", "cheek"} == set(names[:2])
    assert "ports" not in names
