"""The computer's real keys under a player's fingers, in a real window under Xvfb."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from companion.listen.model.played import Fingered
from companion.midi.takes.reading import list_takes, read_take
from fingering.chart import chart
from fingering.holes import ALL_CLOSED
from fingering.notes import Note
from tests.companion.window.desk import PATIENCE_S, Desk
from tests.companion.window.test_real_window import TUNE

pytestmark = pytest.mark.same_everywhere

HELD_S = 1.5


def test_what_the_keys_play_is_kept_though_the_window_is_killed(desk: Desk, tmp_path: Path) -> None:
    """All eight down is low G, the little finger lifted low A (the chart); killed mid-tune, the take has them both."""
    window = desk.start("show", TUNE, "--keys", "--slow", "8")
    folder = tmp_path / "data" / "eightholes" / "takes"
    until_s = time.monotonic() + PATIENCE_S
    try:
        while not _low_g_and_low_a(folder):
            assert time.monotonic() < until_s, "the keys were never heard"
            desk.hold("space", "f", "d", "s", "j", "k", "l", "semicolon")
            desk.let_go("semicolon")
            time.sleep(HELD_S)
            desk.let_go("space", "f", "d", "s", "j", "k", "l")
    finally:
        window.kill()
        window.communicate()
    assert _low_g_and_low_a(folder)
    (take,) = list_takes(folder).takes
    assert take.heading.source == "the computer's keys"


def _low_g_and_low_a(folder: Path) -> bool:
    """Whether the take, if there is one, has low G and low A after it: a window that just opened misses some keys."""
    for take in list_takes(folder).takes:
        states = [event.state for event in read_take(take.path).events if isinstance(event, Fingered)]
        if ALL_CLOSED in states and chart(Note.LOW_A) in states[states.index(ALL_CLOSED) :]:
            return True
    return False
