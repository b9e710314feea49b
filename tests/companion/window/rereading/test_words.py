"""What is said of a change, in few words."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.score.abc import read_abc_text
from companion.score.model import Tune
from companion.score.place import Place
from companion.score.problems import Problem, ProblemKind
from companion.window.rereading.words import change_words, problem_line, why_not_read
from fingering.errors import UserError
from tests.companion.window.rereading.editing import text

pytestmark = pytest.mark.same_everywhere

TEN = ("A2 c2", "e2 c2", "f2 c2", "A2 e2", "B2 d2", "c2 e2", "d2 f2", "e2 g2", "f2 a2", "g2 e2")


def tune(*bars: str) -> Tune:
    """A tune of these bars."""
    return read_abc_text(text(*bars)).tunes[0]


def with_other(*numbers: int) -> Tune:
    """The tune with other bars there."""
    return tune(*("a2 A2" if rank in numbers else bar for rank, bar in enumerate(TEN, 1)))


@pytest.mark.parametrize(
    ("now", "words"),
    [
        (with_other(), "the music is as it was"),
        (with_other(5), "bar 5 changed"),
        (with_other(5, 6), "bars 5 and 6 changed"),
        (with_other(5, 6, 7), "bars 5 to 7 changed"),
        (with_other(1, 5, 6, 7), "bars 1 and 5 to 7 changed"),
        (with_other(2, 4, 6), "bars 2, 4 and 6 changed"),
        (with_other(2, 4, 6, 8), "4 bars changed"),
        (tune(*TEN[:4], "a2 A2", *TEN[4:]), "bar 5 is new"),
        (tune(*TEN, "a2 A2", "e4"), "bars 11 and 12 are new"),
        (tune(*TEN[:4], *TEN[5:]), "bar 5 is gone"),
        (tune(*TEN[:4], "a2 A2", *TEN[6:]), "bar 5 changed, bar 6 is gone"),
        (replace(tune(*TEN), title="Other"), "its heading changed"),
        (replace(tune(*TEN), order=(0, 1, 0)), "the order of its bars changed"),
        (read_abc_text(text(*TEN).replace("=60", "=70")).tunes[0], "the tempo changed"),
    ],
)
def test_it_is_said_which_bars_changed(now: Tune, words: str) -> None:
    """By their numbers now, those that are gone by their old ones; of many, how many."""
    assert change_words(tune(*TEN), now) == words


def test_the_notes_before_the_first_bar_have_a_name() -> None:
    """They have no number."""
    before, now = (read_abc_text(text(f"{note}|A2 c2")).tunes[0] for note in ("e", "f"))
    assert change_words(before, now) == "pick-up to bar 1 changed"


def test_a_problem_is_told_with_its_place_and_how_many_more() -> None:
    """The file by its name alone, cut where it is long; nothing in it breaks the line."""
    first = Problem(Place("/a/b/nets.abc", 7, 12), ProblemKind.BRACE_NOT_CLOSED, "a brace is not closed", "close it")
    assert problem_line("nets.abc", (first,)) == "nets.abc:7:12: a brace is not closed; close it"
    assert problem_line("nets.abc", (first, first, first)).startswith("nets.abc:7:12 (and 2 more): a brace")
    assert problem_line("n" * 99, (first,)).startswith(f"{'n' * 40}…:7:12: ")
    assert "\n" not in problem_line("nets\n.abc", (first,))


def test_why_a_file_cannot_be_read_has_its_place_where_there_is_one() -> None:
    """Else its name."""
    refused = Problem(Place("/a/b/nets.abc", 1, 1), ProblemKind.NOT_ABC, "this is a picture", "choose ABC").as_error()
    assert why_not_read("nets.abc", refused) == "nets.abc:1:1: this is a picture; choose ABC"
    gone = UserError("there is no such file", "check its name", "/a/b/nets.abc")
    assert why_not_read("nets.abc", gone) == "nets.abc: there is no such file; check its name"
