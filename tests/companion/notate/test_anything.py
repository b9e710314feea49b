"""Whatever is played becomes a tune that reads, or is refused in words."""

from __future__ import annotations

from random import Random

import pytest

from companion.listen.model.played import Sounded
from companion.notate.doubts import commented, decided
from companion.notate.notating import FEWEST_NOTES
from companion.score.abc.tunebook import read_abc_text
from fingering.notes import Note
from tests.companion.notate.playing import IN_COMMON_TIME, written
from tests.companion.score.formats.sameness import all_told

LENGTHS_S = (0.003, 0.011, 0.02, 0.04, 0.1, 0.3, 0.6, 1.5, 6.0)


def any_take(draw: int) -> list[Sounded]:
    """Notes and silences of any length, one after another."""
    random = Random(draw)
    now_s = random.uniform(0.0, 3.0)
    events = [Sounded(now_s, note) for note in list(Note)[:FEWEST_NOTES]]
    for _ in range(FEWEST_NOTES, 24):
        now_s += random.choice(LENGTHS_S)
        events.append(Sounded(now_s, random.choice((*Note, None))))
    steady = [Sounded(0.3 * rank, event.note) for rank, event in enumerate(events[:FEWEST_NOTES])]
    shift_s = 0.3 * FEWEST_NOTES
    return [*steady, *(Sounded(shift_s + event.at_s, event.note) for event in events[FEWEST_NOTES:])]


@pytest.mark.parametrize("draw", range(5))
@pytest.mark.same_everywhere
def test_any_take_becomes_a_tune_that_reads_without_a_problem(draw: int) -> None:
    """Any take becomes a tune that reads without a problem, also once each doubt is decided otherwise."""
    found = written(any_take(draw), IN_COMMON_TIME)
    again = read_abc_text(commented(found.tune, found.doubts))
    assert not again.problems
    assert all_told(again.tunes[0]) == all_told(found.tune)
    for doubt in found.doubts:
        for other in range(len(doubt.others)):
            assert decided(found.tune, doubt, other).notes
