"""What is drawn of a class can be read and told apart by every eye: computed from the pixels of its pictures."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pygame
import pytest

from companion.window.core.actions import Action
from companion.window.core.display import Display
from companion.window.core.marks import Dot, Label, Picture, Rect, Stripe, Style
from companion.window.core.screen import Canvas
from companion.window.core.theme import THEMES, Colour, Theme
from companion.window.paint.still import paint_still
from tests.companion.window import scenes
from tests.companion.window.classroom.class_scene import ClassStage
from tests.companion.window.core.test_theme import APART, DEUTAN, PROTAN, SHAPE_CONTRAST, TEXT_CONTRAST, lab, linear
from tests.companion.window.lettered import lettering_for
from tests.referees import require_module

pytestmark = pytest.mark.same_everywhere

SIZE = (1280, 720)
LARGE = (Style.LARGE, Style.MEDIUM)


class Drawn:
    """A picture of a class and its pixels."""

    def __init__(self, theme: Theme, *actions: Action) -> None:
        stage = ClassStage(4)
        stage.run(5.0)
        stage.screen.act(Action.PHRASE_ON)
        stage.run(3.0)
        stage.stop()
        for action in actions:
            stage.screen.act(action)
        display = stage.screen.projected(Display(theme=theme))
        self.measure = lettering_for(SIZE, display)
        self.picture: Picture = stage.screen.picture(Canvas(*SIZE, display, self.measure))
        self.surface = paint_still(self.picture, display, self.measure)

    def colours(self, room: Rect) -> list[Colour]:
        """The colours within a rectangle, the most frequent first."""
        place = pygame.Rect(round(room.x), round(room.y), max(1, round(room.width)), max(1, round(room.height)))
        pixels = pygame.surfarray.array3d(self.surface.subsurface(place.clip(self.surface.get_rect()))).reshape(-1, 3)
        found, counts = np.unique(pixels, axis=0, return_counts=True)
        return [(int(r), int(g), int(b)) for r, g, b in found[np.argsort(-counts)]]

    def colour_at(self, x: float, y: float) -> Colour:
        """The colour of a pixel."""
        red, green, blue, _ = self.surface.get_at((round(x), round(y)))
        return red, green, blue


def discs(picture: Picture) -> list[Dot]:
    """What stands before the words of the list."""
    return [mark for mark in picture.marks if isinstance(mark, Dot) and mark.x < SIZE[0] * 0.1]


def contrast(one: Colour, other: Colour) -> float:
    """By WCAG 2.2, as the package wcag-contrast-ratio computes it."""
    shares = [tuple(part / 255 for part in colour) for colour in (one, other)]
    return float(require_module("wcag_contrast_ratio").rgb(*shares))


@pytest.mark.parametrize("actions", [(), (Action.CHOOSE,)], ids=["players", "words for one"])
@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_all_words_stand_out_as_they_are_drawn(theme: Theme, actions: tuple[Action, ...]) -> None:
    """The colour furthest from the ground among the pixels of each word (WCAG 2.2, 1.4.3)."""
    drawn = Drawn(theme, *actions)
    labels = [mark for mark in drawn.picture.marks if isinstance(mark, Label)]
    assert len(labels) > 15
    for label in labels:
        ground, *others = drawn.colours(scenes.label_rect(label, drawn.measure))
        best = max(contrast(colour, ground) for colour in others)
        assert best >= (SHAPE_CONTRAST if label.style in LARGE else TEXT_CONTRAST), label.text


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_what_was_done_is_told_by_a_shape(theme: Theme) -> None:
    """A disc for what was done and a ring for what was not, each of which stands out (WCAG 2.2, 1.4.1 and 1.4.11)."""
    drawn = Drawn(theme)
    for dot in discs(drawn.picture):
        beside = drawn.colour_at(dot.x - 2.5 * dot.radius, dot.y)
        edge = max(
            contrast(drawn.colour_at(dot.x + at * 0.1, dot.y), beside) for at in range(round(10 * dot.radius) + 1)
        )
        assert edge >= SHAPE_CONTRAST
        assert (contrast(drawn.colour_at(dot.x, dot.y), beside) >= SHAPE_CONTRAST) == dot.filled
    assert {dot.filled for dot in discs(drawn.picture)} == {True, False}


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize("eye", [np.eye(3), np.array(PROTAN), np.array(DEUTAN)], ids=["full", "protan", "deutan"])
def test_what_comes_what_was_and_what_was_done_differ_for_every_eye(theme: Theme, eye: np.ndarray) -> None:
    """As they are drawn, through the matrices of Machado, Oliveira & Fernandes 2009, severity 1."""
    drawn = Drawn(theme)
    long = [mark for mark in drawn.picture.moving if isinstance(mark, Stripe) and mark.x1 - mark.x0 > 40]
    seen = {each.role.value: drawn.colour_at(each.x0 + 20, each.y) for each in long if each.x0 > SIZE[0] * 0.2}
    seen["done"] = next(drawn.colour_at(dot.x, dot.y) for dot in discs(drawn.picture) if dot.filled)
    assert len(seen) == 3
    for one, other in combinations(seen.values(), 2):
        assert np.linalg.norm(lab(eye @ linear(one)) - lab(eye @ linear(other))) >= APART, seen
