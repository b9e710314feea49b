"""`eightholes lesson`: a tune as phrases and steps, for people, for programs and on paper."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from companion.__main__ import main
from companion.lesson.model.steps import StepKind

MINE = "%abc-2.1\nX:1\nT:Mine\nM:4/4\nL:1/8\nK:HP\nA2{g}B2c2d2|e2f2e2d2|A2{g}B2c2d2|e2c2B2A2|\n"


@pytest.fixture
def mine(tmp_path: Path) -> str:
    """A tune of four bars."""
    path = tmp_path / "mine.abc"
    path.write_text(MINE)
    return str(path)


def told(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """What the command prints."""
    assert main(["lesson", *words]) == 0
    return capsys.readouterr().out


def test_json_has_plan_phrases_and_steps(mine: str, capsys: pytest.CaptureFixture[str]) -> None:
    data = json.loads(told(capsys, mine, "--json"))
    assert list(data) == ["plan", "phrases", "steps"]
    assert data["plan"] == " ".join(phrase["name"] for phrase in data["phrases"])
    assert all(list(phrase) == ["name", "bars", "ends", "like", "differs"] for phrase in data["phrases"])
    assert all(list(step) == ["kind", "what", "bars", "tempo", "slow", "done_when"] for step in data["steps"])
    assert {step["kind"] for step in data["steps"]} <= {kind.value for kind in StepKind}


@pytest.mark.parametrize(
    "tune", ["the-slip-in-a-squall", "the-last-ferry-to-tarrowick", "lament-for-the-tarrowick-bell"]
)
def test_phrases_cover_the_bars_that_read_tells_of(tune: str, capsys: pytest.CaptureFixture[str]) -> None:
    """In their order, without holes or overlaps; steps name bars that there are."""
    data = json.loads(told(capsys, tune, "--json"))
    assert main(["read", tune, "--json"]) == 0
    bars = [bar["number"] for bar in json.loads(capsys.readouterr().out)[0]["bars"]]
    covered = [number for phrase in data["phrases"] for number in range(phrase["bars"][0], phrase["bars"][1] + 1)]
    assert covered == bars
    assert all(first in bars and last in bars for first, last in (step["bars"] for step in data["steps"]))


def test_of_several_tunes_there_is_a_list(mine: str, capsys: pytest.CaptureFixture[str]) -> None:
    data = json.loads(told(capsys, mine, "the-ropewalk-cat", "--json"))
    assert len(data["lessons"]) == 2
    text = told(capsys, mine, "the-ropewalk-cat")
    assert "Mine" in text
    assert "The Ropewalk Cat" in text


def test_the_page_is_written_and_nothing_is_written_over(
    mine: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = tmp_path / "x.html"
    assert told(capsys, mine, "--html", str(page)) == ""
    assert "<h1>Mine</h1>" in page.read_text(encoding="utf-8")
    assert main(["lesson", mine, "--html", str(page)]) == 2
    assert main(["lesson", mine, "--html", mine, "--force"]) == 2
    assert Path(mine).read_text() == MINE


def test_a_teachers_own_order_is_the_lesson(mine: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """And what cannot be read of it is said, with its line."""
    saved = tmp_path / "mine.lesson.toml"
    saved.write_text('tune = "Mine"\n[[step]]\nkind = "phrase"\nbars = [1, 2]\n')
    steps = json.loads(told(capsys, mine, "--json"))["steps"]
    assert [(step["kind"], step["bars"]) for step in steps] == [("phrase", [1, 2])]
    saved.write_text('tune = "Mine"\n[[step]]\nkind = "dance"\nbars = [1, 2]\n')
    assert main(["lesson", mine]) == 0
    assert "mine.lesson.toml:3" in capsys.readouterr().err
