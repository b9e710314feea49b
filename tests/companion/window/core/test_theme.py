"""Colours that everyone can tell apart."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import numpy.typing as npt
import pytest

from companion.window.core.marks import Role
from companion.window.core.theme import THEMES, Colour, Theme
from tests.referees import require_module

Array = npt.NDArray[np.float64]

# WCAG 2.2, 1.4.3 (text) and 1.4.11 (everything else that carries meaning).
TEXT_CONTRAST = 4.5
SHAPE_CONTRAST = 3.0
WORDS = (Role.INK, Role.QUIET, Role.FAULT, Role.GUIDE, Role.PLAYED)
SHAPES = (Role.PAST,)

# Machado, Oliveira & Fernandes 2009, severity 1, on linear RGB (read through other sources; rows sum to 1).
PROTAN = ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998))
DEUTAN = ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.01182, 0.04294, 0.968881))
APART = 24.0  # CIE 1976 colour difference; some ten times a just noticeable one: from memory


def linear(colour: Colour) -> Array:
    """Linear RGB, 0 to 1 (WCAG 2.2, relative luminance)."""
    share = np.array(colour) / 255.0
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)


def lab(rgb: Array) -> Array:
    """CIE 1976 L*a*b* of linear sRGB, white D65 (IEC 61966-2-1, from memory)."""
    to_xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
    x, y, z = np.cbrt(np.clip(to_xyz @ np.clip(rgb, 0, 1) / np.array([0.9505, 1.0, 1.089]), 1e-6, None))
    return np.array([116 * y - 16, 500 * (x - y), 200 * (y - z)])


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize("ground", [Role.GROUND, Role.WASH])
def test_words_and_shapes_stand_out_from_the_ground(theme: Theme, ground: Role) -> None:
    """By WCAG 2.2, 1.4.3 and 1.4.11, as the package wcag-contrast-ratio computes it."""
    contrast = require_module("wcag_contrast_ratio")
    floor = tuple(part / 255 for part in theme[ground])
    for role in WORDS:
        assert contrast.rgb(tuple(part / 255 for part in theme[role]), floor) >= TEXT_CONTRAST, role
    for role in SHAPES:
        assert contrast.rgb(tuple(part / 255 for part in theme[role]), floor) >= SHAPE_CONTRAST, role


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_a_hole_stands_out_from_the_wood(theme: Theme) -> None:
    """An open hole is light on dark wood (WCAG 2.2, 1.4.11)."""
    contrast = require_module("wcag_contrast_ratio")
    wood, rim = (tuple(part / 255 for part in colour) for colour in (theme.wood, theme.hole_rim))
    assert contrast.rgb(wood, rim) >= SHAPE_CONTRAST


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize("eye", [np.eye(3), np.array(PROTAN), np.array(DEUTAN)], ids=["full", "protan", "deutan"])
def test_colours_with_a_meaning_differ_for_every_eye(theme: Theme, eye: Array) -> None:
    """What is asked, what was played, a fault and a guide are told apart without red or green."""
    seen = {role: lab(eye @ linear(theme[role])) for role in (Role.INK, Role.PLAYED, Role.FAULT, Role.PAST)}
    for one, other in combinations(seen, 2):
        assert np.linalg.norm(seen[one] - seen[other]) >= APART, (one, other)
