"""Reviews and verdicts look as they did: pictures that were looked at, kept as files."""

from __future__ import annotations

from functools import cache

import numpy as np
import pygame
import pytest
from numpy.typing import NDArray

from tests.companion.window.pictures import GOLDEN, LATE, PICTURES, SIZE, drawn, kept

# Another build of the font library may smooth the edges of letters otherwise. So pictures are compared at half their
# size, where that evens out: a point differs by more than OFF of 255 in one of its colours, and so may one in 1,000.
OFF = 48
MOST_OFF = 0.001


def halved(picture: NDArray[np.uint8]) -> NDArray[np.int16]:
    """A picture at half its size."""
    surface = pygame.surfarray.make_surface(picture)
    return pygame.surfarray.array3d(pygame.transform.smoothscale(surface, (SIZE[0] // 2, SIZE[1] // 2))).astype(
        np.int16
    )


@cache
def kept_halved(name: str) -> NDArray[np.int16]:
    """The golden picture of that name at half its size."""
    return halved(kept(name))


def off(one: NDArray[np.int16], other: NDArray[np.int16]) -> float:
    """The share of points in which two pictures differ."""
    return float((np.abs(one - other).max(axis=2) > OFF).mean())


@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_is_as_it_was_kept(name: str) -> None:
    """Within what another smoothing of letters makes."""
    assert off(halved(drawn(name)), kept_halved(name)) <= MOST_OFF


def test_every_file_is_a_picture_that_is_compared() -> None:
    """None is left over."""
    assert {path.stem for path in GOLDEN.glob("*.png")} == set(PICTURES)


@pytest.mark.same_everywhere
@pytest.mark.parametrize("name", PICTURES)
def test_another_picture_is_told_apart(name: str) -> None:
    """Each differs from each by far more than is let pass."""
    for other in PICTURES:
        assert other == name or off(kept_halved(name), kept_halved(other)) > 10 * MOST_OFF


@pytest.mark.parametrize("shift", [(1, 0), (0, 1)])
def test_words_that_moved_are_told_apart(shift: tuple[int, int]) -> None:
    """By as little as a pixel."""
    picture = kept("verdict_crossings")
    assert off(halved(picture), halved(np.roll(picture, shift, axis=(0, 1)))) > MOST_OFF


def test_a_word_that_changed_is_told_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    """One word in one sentence."""
    monkeypatch.setattr("tests.companion.window.pictures.LATE", LATE.replace("ring", "middle"))
    assert off(halved(drawn("review_finding")), kept_halved("review_finding")) > MOST_OFF
