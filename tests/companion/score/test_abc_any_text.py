"""Whatever is read, nothing is raised, and what comes out is in order."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.score.abc import read_abc, read_abc_text
from companion.score.checks import check
from fingering.errors import UserError
from tests.companion.score.reading import spell
from tests.fuzz.facts import assert_in_order

pytestmark = pytest.mark.same_everywhere

WORDS = """
    A B c G ^c =f _b C, c' A2 A/ A// A3/2 A0 A/0 A9999999 A> B<< > z x Z Z0 Z99999 y y2
    {g} {gcd} {/g} { } [ce] [] [ ] [K:D] [M:6/8] [M:0/0] [L:1/4] [P:A] [Q:1/4=90] [r:x] [V:2] [J:]
    | || |: :| :: |] [| [1 |1 :|2 [1,3 [5-2 |1-99-9 [0 ::::| (3 (3:2:2 (3:: (9 (99:1 (0 ( ) -
    "Am" " !trill! !longphrase! ! +x+ ~ . T h & \\ % ` 9 / ü $ * # ? K: +:x
"""
LINES = (
    "%%begintext", "", "P:A", "P:B", "P:", "K:G", "K:Q", "M:none", "M:3/4", "w:la la", "+: more", "X:2", "T:x", "K:HP",
    "Q:120", "Q:", "U:h=!x!", "J:z", "V:1", "P:(AB)9", "P:((((A9)9)9)9)9", "%abc-2.1", "H:a\nb", "L:1/99", "c:|",
)  # fmt: skip
HEADS = ("", "X:1\nT:t\nM:4/4\nL:1/4\nK:HP\n", "%abc-2.1\nX:1\nT:t\nP:(AB)3.A2\nK:D\n", "M:6/8\n\nX:1\nP:A3\nK:Hp\n")

music = st.lists(st.sampled_from(WORDS.split()), max_size=30).map("".join)
lines = st.lists(music | st.sampled_from(LINES) | st.text(max_size=8), max_size=12).map("\n".join)
abc = st.builds(str.__add__, st.sampled_from(HEADS), lines)


@settings(max_examples=400)
@given(abc | st.text())
def test_any_text_is_read(text: str) -> None:
    """Nothing is raised; tunes are in order; problems point into the text."""
    book = read_abc_text(text)
    for tune in book.tunes:
        assert_in_order(tune)
        check(tune)
    count = len(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"))
    for problem in book.problems:
        assert 1 <= problem.place.line <= count
        assert problem.place.column >= 1
        assert len(str(problem).splitlines()) == 1


@settings(max_examples=100)
@given(st.binary() | abc.map(str.encode))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    """By a UserError, and no other."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "tune.abc"
        path.write_bytes(data)
        with suppress(UserError):
            assert read_abc(path).tunes


def test_long_rows_of_one_sign_do_not_hang() -> None:
    """No sign makes the reader try again and again from every place."""
    for sign in (
        "{",
        '"',
        "[",
        "[c",
        "[K:",
        "!",
        "+",
        "(",
        ":",
        "|",
        "&",
        "\\",
        "A,",
        "{g}",
        "-",
        ">",
        "(3",
        "^",
        "[1,",
    ):
        read_abc_text("X:1\nT:t\nK:HP\n" + 20000 * sign)
        read_abc_text(20000 * (sign + "\n"))


def test_a_tuplet_that_no_note_follows_at_once_ends_a_run_before_it() -> None:
    """A slur may stand between: with Python 3.11.2 the tuplet's sign was taken for a part of the run, for ever."""
    assert spell("cd(3(B/A/G/) e2") == "c1 d1 B1/3 A1/3 G1/3 e2"
    assert spell("c>(3dBA e2") == spell("c> (3dBA e2")
