"""The line above the lanes of a take: it tells what the marks are, and notices there leave what is said alone."""

from __future__ import annotations

import pytest

from companion.window.core.actions import Action
from companion.window.core.display import Print
from companion.window.core.marks import Frame, Label, Role, Rule, Stripe
from companion.window.takes.take_lines import PLAYED
from companion.window.takes.take_moves import NO_SETTING, NOTHING_AT_ALL, NOTHING_FOUND
from tests.companion.window import scenes
from tests.companion.window.takes.reviewing import (
    FAULTLESS,
    MANY_SLIPS,
    ONE_SLIP,
    THREE_SLIPS,
    Slips,
    canvas,
    reviewed,
)

SIZES = ((800, 600), (1280, 720), (1920, 1080))
EVERY = (FAULTLESS, ONE_SLIP, THREE_SLIPS, MANY_SLIPS)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("print_size", Print)
@pytest.mark.parametrize("slips", EVERY)
def test_what_the_blue_line_is_stands_there_in_every_print(
    slips: Slips, print_size: Print, size: tuple[int, int]
) -> None:
    """Behind a piece of it, and not far from it."""
    picture = reviewed(slips).picture(canvas(size, print_size))
    assert any(isinstance(mark, Stripe) and mark.role is Role.PLAYED for mark in picture.moving)
    (words,) = (label for label in scenes.labels(picture) if label.text.startswith(PLAYED))
    assert any(isinstance(mark, Rule) and mark.role is Role.PLAYED and mark.y0 == words.y for mark in picture.moving)


@pytest.mark.parametrize(
    ("slips", "words"),
    [(FAULTLESS, ""), (THREE_SLIPS, "finger that was late"), (MANY_SLIPS, "finger to look at")],
)
def test_what_a_frame_means_stands_there_where_one_is_seen(slips: Slips, words: str) -> None:
    """And nothing of frames where there is none."""
    picture = reviewed(slips).picture(canvas((1280, 720)))
    told = {label.text for label in scenes.labels(picture)}
    assert words in told if words else not any(each.startswith("finger ") for each in told)
    assert any(isinstance(mark, Frame) and mark.role is Role.FAULT for mark in picture.moving) == bool(words)


def said(slips: Slips, print_size: Print, *actions: Action) -> set[str]:
    """All the words on the smallest of usual windows, after some keys."""
    screen = reviewed(slips)
    for action in actions:
        screen.act(action)
    return {label.text for label in screen.picture(canvas((800, 600), print_size)).marks if isinstance(label, Label)}


@pytest.mark.parametrize("print_size", Print)
@pytest.mark.parametrize("slips", EVERY)
def test_that_there_is_no_setting_does_not_replace_what_is_said(slips: Slips, print_size: Print) -> None:
    """It stands beside the chanter."""
    before, after = said(slips, print_size), said(slips, print_size, Action.OWN_SETTING)
    assert NO_SETTING in after
    gone = before - after
    assert not any(each.startswith(("Bar", "were", "Nearly")) or "×" in each for each in gone), gone


@pytest.mark.parametrize("print_size", Print)
def test_that_nothing_was_found_does_not_replace_what_went_well(print_size: Print) -> None:
    """The praise stands as it stood."""
    before = said(FAULTLESS, print_size)
    for key in (Action.FINDING_ON, Action.HEAR_MINE, Action.CHOOSE):
        after = said(FAULTLESS, print_size, key)
        assert NOTHING_FOUND in after or NOTHING_AT_ALL in after
        assert {each for each in before - after if len(each) > len(NOTHING_FOUND)} <= {
            each for each in before if PLAYED in each
        }
