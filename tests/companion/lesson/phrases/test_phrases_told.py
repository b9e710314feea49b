"""How `eightholes lesson` tells the phrases of a tune of ours."""

from __future__ import annotations

import json
from typing import Any

import pytest

from companion.__main__ import main

TUNE = "the-slip-in-a-squall"


def printed(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """What the command prints."""
    assert main(["lesson", *words]) == 0
    return capsys.readouterr().out


def as_data(capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    """What the command prints as JSON."""
    data: dict[str, Any] = json.loads(printed(capsys, TUNE, "--json"))
    return data


def test_json_has_the_plan_and_its_phrases(capsys: pytest.CaptureFixture[str]) -> None:
    """A new phrase is like none."""
    data = as_data(capsys)
    assert data["plan"] == "A B A C D D' A C'"
    assert data["phrases"][0] == {"name": "A", "bars": [1, 2], "ends": "open", "like": None, "differs": []}


def test_json_says_where_a_phrase_differs(capsys: pytest.CaptureFixture[str]) -> None:
    """By bars and notes in words."""
    last = as_data(capsys)["phrases"][-1]
    assert (last["name"], last["bars"], last["ends"], last["like"]) == ("C'", [16, 18], "home", "C")
    there = "G gracenote on D, E gracenote on low A"
    here = "G gracenote on F, high G"
    assert last["differs"] == [{"bar": 17, "like_bar": 8, "here": here, "there": there}]


def test_in_words_the_plan_comes_first(capsys: pytest.CaptureFixture[str]) -> None:
    """Then part by part what each phrase is."""
    title, plan, part, first, *_ = printed(capsys, TUNE).splitlines()
    assert (title, plan.strip(), part.strip()) == ("The Slip in a Squall", "A B A C D D' A C'", "Part A")
    assert first.split() == ["A", "bars", "1", "to", "2,", "ends", "open"]
