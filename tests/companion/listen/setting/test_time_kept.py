"""A note that was left out with its time, and one whose time was kept. Times are in s; the limit is a choice."""

from __future__ import annotations

import pytest

from companion.listen.setting.time_kept import keeps_time
from tests.companion.listen.playing import asked_of

EIGHT = asked_of("ABcdefga|")
"""Half a second each."""


def heard(lost_s: float, slower: float = 1.0) -> dict[int, float]:
    """All notes but the fourth, so many times slower, and what follows it so much earlier."""
    onsets = enumerate(EIGHT.schedule.note_onsets_s)
    return {played: slower * (at_s - (lost_s if played > 3 else 0.0)) for played, at_s in onsets if played != 3}


@pytest.mark.parametrize("slower", [0.5, 1.0, 3.0])
@pytest.mark.parametrize(("lost_s", "kept"), [(0.0, True), (0.24, True), (0.26, False), (0.5, False)])
def test_half_of_its_time_tells(lost_s: float, kept: bool, slower: float) -> None:
    """At any tempo."""
    assert keeps_time(EIGHT, heard(lost_s, slower), 3) is kept


def test_where_nothing_is_around_it_no_time_is_missed() -> None:
    """At the beginning, at the end, or between two notes alone."""
    assert keeps_time(EIGHT, {1: 0.5, 2: 1.0}, 0)
    assert keeps_time(EIGHT, {1: 0.5, 2: 1.0}, 7)
    assert keeps_time(EIGHT, {2: 1.0, 4: 1.1}, 3)
