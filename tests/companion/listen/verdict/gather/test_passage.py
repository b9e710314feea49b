"""A passage at a tempo of its own, as something to learn."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.listen.model.findings import FindingKind
from companion.listen.rhythm.tempo_passage import TempoPassage
from companion.listen.verdict.gather.passage import passage, without_changes
from companion.listen.verdict.matter.evidence import Evidence
from tests.companion.listen.playing import asked_of
from tests.companion.listen.verdict.found import evidence, finding, tempo

TUNE = asked_of("A2B2c2d2|e2f2e2d2|c2B2A2B2|c2d2e2c2|" * 3)
PARTS = (0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 2)
"""Three parts of four bars, four notes in each."""


def told(first: int, last: int, qpm: float = 49.0, metronome_bpm: float | None = None) -> Evidence:
    """A take at 58 but for one passage."""
    held = TempoPassage(first, last, qpm, 58.0, last == 47)
    pace = replace(tempo(58.0), passage=held)
    return replace(evidence(TUNE, [], pace=pace, metronome_bpm=metronome_bpm), parts=PARTS)


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        (16, 31, "The tempo fell from 58 to 49 in the second part."),
        (20, 35, "The tempo fell from 58 to 49 in the second part."),
        (32, 47, "The tempo fell from 58 to 49 in the third part."),
        (16, 47, "The tempo fell from 58 to 49 from the second part on."),
        (4, 47, "The tempo fell from 58 to 49 from bar 2 on."),
        (4, 23, "The tempo fell from 58 to 49 from bar 2 to bar 6."),
        (0, 19, "You played at 49 from bar 1 to bar 5, and at 58 after that."),
    ],
)
def test_where_the_tempo_changed_is_named(first: int, last: int, said: str) -> None:
    """By its part, if it changes within two bars of where one begins and ends; else by bars."""
    (only,) = passage(told(first, last), [])
    assert only.text == said
    assert only.findings[0].throughout


def test_it_rises_too_and_the_drill_goes_over_the_change_at_the_slower_tempo() -> None:
    """From the bar before into the first of the passage."""
    (only,) = passage(told(16, 31, 70.0), [])
    assert only.text == "The tempo rose from 58 to 70 in the second part."
    assert only.kind is FindingKind.EARLY
    assert only.drill.text == (
        "Set the metronome to 58 and play from bar 4 into what follows, over and over, until nothing changes there; "
        "then the whole at that, and only then faster."
    )
    assert (only.drill.first, only.drill.last, only.drill.slow_down) == (12, 19, 1.0)


def test_a_little_late_where_it_changes_belongs_to_it() -> None:
    """Within three notes, by less than 150 ms; a note that is really late, or late elsewhere, is told by itself."""
    late = [finding(TUNE, FindingKind.LATE, played, ms) for played, ms in ((13, 60.0), (16, 150.0), (22, 60.0))]
    (only,) = passage(told(16, 31), late)
    assert only.findings[1:] == (late[0],)
    assert without_changes(late, [only]) == tuple(late[1:])


def test_nothing_without_a_passage() -> None:
    """Nothing is told of a steady take, and nothing of one too short for a tempo."""
    assert passage(evidence(TUNE, [], pace=tempo(58.0)), []) == []
    assert passage(evidence(TUNE, []), []) == []
