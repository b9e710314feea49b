"""The finder finds the plans that tunes were made of, and those that their writers marked."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from companion.lesson.phrases import plan_of
from companion.score.abc import read_abc_text
from companion.score.bundled import bundled_files
from companion.score.model import Tune
from tests.companion.lesson.phrases.held_out import held_out
from tests.companion.lesson.phrases.made_tunes import BEATS, made_tune, made_tunes
from tests.companion.lesson.phrases.planned import hits, named, share_found

pytestmark = pytest.mark.same_everywhere

MARKED = [path for path in bundled_files() if "phrase!" in path.read_text(encoding="utf-8")]
_MARK = re.compile(r"!(?:short|medium|long)phrase!")
_PARTS = re.compile(r"^P:.*\n", re.MULTILINE)


def first_tune(text: str) -> Tune:
    """The first tune of a text."""
    return read_abc_text(text).tunes[0]


def without_marks(text: str) -> str:
    """The tune without parts and marks of phrases, and on as few lines as it can be."""
    head, _, music = _PARTS.sub("", _MARK.sub("", text)).partition("K:HP\n")
    return f"{head}K:HP\n{music.replace(chr(10), ' ')}\n"


def test_our_own_tunes_have_marks() -> None:
    """Eight of them, so that the test below is not empty."""
    assert len(MARKED) == 8


@pytest.mark.parametrize("path", MARKED, ids=lambda path: path.stem)
def test_nine_of_ten_phrases_are_found_without_their_marks(path: Path) -> None:
    """In each of our own tunes, with the same bars and the same names as where the marks tell."""
    text = path.read_text(encoding="utf-8")
    marked = named(plan_of(first_tune(text)))
    assert hits(marked, named(plan_of(first_tune(without_marks(text))))) >= 0.9 * len(marked)


def test_plans_of_made_up_tunes_are_found() -> None:
    """The goal is 95 % of phrases, and these draws are not those by which the finder was set."""
    assert share_found(made_tunes(60, seed=7)) >= 0.95


@pytest.mark.parametrize("meter", sorted(BEATS))
def test_plans_are_found_in_every_metre(meter: str) -> None:
    """None of them is left to chance."""
    assert share_found(made_tune(500_000 + i, meter) for i in range(12)) >= 0.85


def test_plans_of_tunes_that_nothing_was_set_by_are_found() -> None:
    """Twenty tunes of another make; a floor, below what was measured."""
    assert share_found(held_out(20)) >= 0.8
