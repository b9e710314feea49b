"""The keys at the foot fade while a tune plays and nobody asks for anything."""

from __future__ import annotations

import itertools

from companion.window.fade import FADES_S, STAYS_S, FootFade


def test_they_stay_then_fade_then_are_gone() -> None:
    """Three seconds, then most of one."""
    fade = FootFade(10.0)
    assert fade.strength(10.0 + STAYS_S, fades=True) == 1.0
    assert 0.4 < fade.strength(10.0 + STAYS_S + FADES_S / 2, fades=True) < 0.6
    assert fade.strength(10.0 + STAYS_S + FADES_S, fades=True) == 0.0


def test_whoever_asks_for_something_sees_them_again() -> None:
    """At once, for as long as before."""
    fade = FootFade(0.0)
    fade.asked(60.0)
    assert fade.strength(60.0, fades=True) == fade.strength(60.0 + STAYS_S, fades=True) == 1.0


def test_while_nothing_plays_they_stay() -> None:
    """However long; and for a while once it plays."""
    fade = FootFade(0.0)
    assert fade.strength(1000.0, fades=False) == 1.0
    assert fade.strength(1000.0 + STAYS_S, fades=True) == 1.0


def test_fading_is_no_flash() -> None:
    """Never back and forth by itself: less than three in a second (W3C, WCAG 2.2, 2.3.1)."""
    fade = FootFade(0.0)
    seen = [fade.strength(frame / 60.0, fades=True) for frame in range(600)]
    assert all(one >= other for one, other in itertools.pairwise(seen))
