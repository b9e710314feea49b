"""Nine notes played upward teach the note map."""

from __future__ import annotations

import pytest

from companion.midi.maps.calibration import SETTLED_S, Calibration
from companion.midi.maps.note_map import DEFAULT_MAP, NoteMap, Spelling
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOff, NoteOn
from fingering.notes import Note

TRANSPOSITIONS = range(57, 69)


def calibrated(*numbers: int, each_s: float = 1.0) -> Calibration:
    """A calibration that heard these numbers for `each_s` each, silence between them."""
    calibration = Calibration()
    for rank, number in enumerate(numbers):
        calibration.hear(Timed(2.0 * rank, NoteOn(0, number)))
        calibration.hear(Timed(2.0 * rank + each_s, NoteOff(0, number)))
    return calibration


@pytest.mark.parametrize("spelling", Spelling)
@pytest.mark.parametrize("low_a", TRANSPOSITIONS)
def test_nine_notes_upward_teach_the_map(low_a: int, spelling: Spelling) -> None:
    """Exactly, for twelve transpositions and both spellings."""
    asked = NoteMap.of(low_a, spelling)
    learnt = calibrated(*asked.numbers).learnt_map
    assert learnt == asked
    assert learnt is not None
    assert (learnt.low_a, learnt.spelling) == (low_a, spelling)
    assert [learnt.note(number) for number in asked.numbers] == list(Note)


def test_an_instrument_may_go_its_own_way() -> None:
    """Any nine rising numbers can be learnt."""
    learnt = calibrated(60, 61, 62, 63, 64, 65, 66, 67, 70).learnt_map
    assert learnt is not None
    assert learnt.spelling is None


def test_calibration_says_which_note_it_waits_for() -> None:
    """Low G first, none after the ninth."""
    assert Calibration().wanted is Note.LOW_G
    assert calibrated(67, 69).wanted is Note.B
    assert calibrated(*DEFAULT_MAP.numbers).wanted is None


def test_a_crossing_noise_is_not_learnt() -> None:
    """A note that ends before it has settled does not count."""
    calibration = Calibration()
    for at_s, number in ((0.0, 67), (1.0, 60), (1.0 + SETTLED_S / 2, 69), (3.0, 71)):
        calibration.hear(Timed(at_s, NoteOn(0, number)))
    assert calibration.learnt == (67, 69)


def test_a_note_that_goes_on_is_learnt_while_it_sounds() -> None:
    """The player need not stop to see that it was heard."""
    calibration = Calibration()
    calibration.hear(Timed(0.0, NoteOn(0, 67)))
    calibration.pass_time(SETTLED_S)
    assert calibration.learnt == (67,)


def test_a_lower_note_starts_afresh_and_a_repeated_one_counts_once() -> None:
    """A repeated note adds nothing; a lower one becomes low G, so that a slip is mended by beginning again."""
    assert calibrated(67, 69, 69, 71).learnt == (67, 69, 71)
    assert calibrated(67, 69, 71, 66).learnt == (66,)
