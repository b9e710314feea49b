"""How wide a line will be is reckoned closely enough to lay out a screen."""

from __future__ import annotations

import pytest

from companion.commands.shared.tune_list import bundled_tunes
from companion.score.engrave.pages import bar_widths
from companion.score.engrave.single.reckoned import reckoned_widths

pytestmark = pytest.mark.same_everywhere

TENTHS_OF_SPACE = 18.0  # a staff of size 1.0 is 7.2 mm high, four spaces
TUNES = 8
"""Of what comes with the program the first ones are tunes, the others drills."""


def test_lines_of_two_phrases_are_as_wide_as_reckoned() -> None:
    """Of all our tunes, beside what Verovio makes of them: nine of ten lines within a tenth, none off by a sixth."""
    off = []
    for tune in bundled_tunes()[:TUNES]:
        real, reckoned = bar_widths(tune), reckoned_widths(tune)
        for part in tune.parts:
            for phrase, after in zip(part.phrases[::2], part.phrases[1::2], strict=True):
                wide = real.of(phrase.first, after.stop) / TENTHS_OF_SPACE
                off.append(abs(reckoned.of(phrase.first, after.stop) / wide - 1.0))
    off.sort()
    assert off[round(len(off) * 0.9) - 1] < 1 / 10
    assert off[-1] < 1 / 6
