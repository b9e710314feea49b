"""The steps that notes take through a foot."""

from __future__ import annotations

import pytest

from companion.notate.pulse.feet import FEET_OF_THREE, FEET_OF_TWO, JOINED, FootHabits
from companion.score.model import MelodyNote
from tests.companion.notate.playing import IN_COMMON_TIME, take_of, tune_of, written

pytestmark = pytest.mark.same_everywhere


@pytest.mark.parametrize(
    ("habits", "step"),
    [
        # A quaver and a dotted quaver after the half of a crotchet; a crotchet and a quaver after a jig's first quaver.
        (FEET_OF_TWO, (6, 15)),
        (FEET_OF_THREE, (4, 16)),
    ],
)
def test_two_notes_that_sound_as_one_are_a_dear_step(habits: FootHabits, step: tuple[int, int]) -> None:
    """As long as both, and dearer than any of them."""
    assert habits.steps[step] > JOINED


def test_no_joined_step_is_as_long_as_no_note_is() -> None:
    """A dotted note's short one and a note of a triplet make no length that is ever written."""
    assert (9, 7) not in FEET_OF_TWO.steps
    assert (9, 9) in FEET_OF_TWO.steps


TUNE = tune_of("|: {g}c2 {g}e2 {d}f{g}f> {d}f{g}e | {g}c2 {g}B2 {g}A2 {d}c2 | {g}e2 {g}f2 {d}e2 {g}c2 | {g}A4 {g}A4 :|")
JOINED_TUNE = tune_of(
    "|: {g}c2 {g}e2 {d}ff> {d}f{g}e | {g}c2 {g}B2 {g}A2 {d}c2 | {g}e2 {g}f2 {d}e2 {g}c2 | {g}A4 {g}A4 :|"
)


def test_a_gracenote_left_out_between_equal_notes_moves_nothing_else() -> None:
    """A quaver and a dotted quaver of F that sound as one, from the third crotchet on: what follows stays where it
    is."""
    notes = written(take_of(JOINED_TUNE), IN_COMMON_TIME).tune.notes
    asked = TUNE.notes

    def after(found: tuple[MelodyNote, ...], count: int) -> list[object]:
        return [(note.note, note.duration) for note in found[-count:]]

    count = len(asked) - 6
    assert after(tuple(notes), count) == after(tuple(asked), count)
