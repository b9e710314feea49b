"""`eightholes holes`: the timed hole states, for programs and for people."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from companion.__main__ import main
from companion.score.bundled import bundled_files

TUNE = """X:1
T:Short
M:2/4
L:1/8
Q:1/4=60
K:HP
{GdGe}A2{gcd}c z|
X:7
T:Other
M:2/4
L:1/8
K:HP
e2f2|
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A file of two tunes."""
    path = tmp_path / "two.abc"
    path.write_text(TUNE)
    return path


def _states(capsys: pytest.CaptureFixture[str], *words: str) -> list[dict[str, Any]]:
    assert main(["holes", *words, "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert list(printed) == ["states"]
    states: list[dict[str, Any]] = printed["states"]
    return states


def test_json_has_the_promised_shape(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One object: states with at_ms, state, sounds and kind; the taorluath onto low A as trade has it."""
    states = _states(capsys, str(file))
    assert [list(state) for state in states] == [["at_ms", "state", "sounds", "kind"]] * len(states)
    held = [state for state in states if state["kind"] != "moving"]
    assert [(state["at_ms"], state["state"], state["sounds"], state["kind"]) for state in held[:5]] == [
        (0.0, "x xxx xxxx", "G", "gracenote"),
        (40.0, "x xxx oxxx", "d", "gracenote"),
        (80.0, "x xxx xxxx", "G", "gracenote"),
        (120.0, "x xxo xxxo", "e", "gracenote"),
        (160.0, "x xxx xxxo", "A", "melody"),
    ]
    assert (held[-1]["sounds"], held[-1]["kind"]) == ("z", "rest")
    assert (held[-1]["at_ms"], held[-1]["state"]) == (1500.0, "x xxx xoox")


def test_time_goes_forward_and_the_first_state_is_at_zero(capsys: pytest.CaptureFixture[str]) -> None:
    """In every tune file that comes with the program."""
    for path in bundled_files():
        at_ms = [state["at_ms"] for state in _states(capsys, str(path))]
        assert at_ms[0] == 0.0
        assert at_ms == sorted(at_ms)


def test_tempo_slow_down_and_crisp_are_followed(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """At 120 and three times as slow the C's beat is at 1.5 s; crisp keeps its gracenotes at 40 ms."""
    options = (str(file), "--tempo", "120", "--slow", "3")
    for crisp, gracenote_ms in ((), 120.0), (("--crisp",), 40.0):
        states = _states(capsys, *options, *crisp)
        assert next(state for state in states if state["sounds"] == "g")["at_ms"] == 1500.0
        melody = next(state for state in states if state["kind"] == "melody" and state["sounds"] == "c")
        assert melody["at_ms"] == pytest.approx(1500.0 + 3 * gracenote_ms, abs=1.0)


@pytest.mark.parametrize(("number", "first"), [("1", "G"), ("7", "e"), ("2", "e")])
def test_a_tune_is_chosen_by_its_number_or_its_place(
    file: Path, capsys: pytest.CaptureFixture[str], number: str, first: str
) -> None:
    """X:7 is tune 7, and also the second of the file."""
    assert _states(capsys, str(file), "--tune", number)[0]["sounds"] == first


def test_a_tune_that_is_not_there_is_one_line(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The line says which there are."""
    assert main(["holes", str(file), "--tune", "5"]) == 2
    assert capsys.readouterr().err == f"eightholes: {file}: there is no tune 5; choose one of 1, 7\n"


def test_the_table_is_for_people(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A heading, then a line for each state."""
    assert main(["holes", str(file)]) == 0
    heading, first, *_ = capsys.readouterr().out.splitlines()
    assert heading.split() == ["ms", "holes", "sounds", "kind"]
    assert first.split() == ["0.0", "x", "xxx", "xxxx", "G", "gracenote"]


def test_a_bundled_tune_is_found_by_its_name(capsys: pytest.CaptureFixture[str]) -> None:
    """With or without its ending, in any case."""
    name = bundled_files()[0].stem
    assert _states(capsys, name) == _states(capsys, f"{name.upper()}.ABC")


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["no-such-tune"], "there is no file 'no-such-tune'; give the path of a file of tunes"),
        (["drills", "--slow", "0.5"], "a slow-down of 0.5 is out of reach; choose 1 to 32"),
        (["drills", "--tempo", "4000"], "4000 beats a minute is out of reach; choose 10 to 400"),
    ],
)
def test_a_mistake_is_one_line_and_status_2(words: list[str], line: str, capsys: pytest.CaptureFixture[str]) -> None:
    """What was got, and what to do."""
    assert main(["holes", *words]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert line in printed.err
    assert printed.err.count("\n") == 1
