"""Note maps, and learning one from the nine notes played upward."""

from __future__ import annotations

import pytest

from companion.midi.monophony import Heard
from companion.midi.note_map import DEFAULT_MAP, SETTLED_S, Calibration, NoteMap, Spelling
from fingering.errors import UserError
from fingering.notes import Note

TRANSPOSITIONS = range(57, 69)


def calibrated(*numbers: int, each_s: float = 1.0) -> Calibration:
    """A calibration that heard these numbers for `each_s` each, silence between them."""
    calibration = Calibration()
    for rank, number in enumerate(numbers):
        calibration.hear(Heard(2.0 * rank, number))
        calibration.hear(Heard(2.0 * rank + each_s, None))
    return calibration


def test_the_default_map_is_the_one_of_the_notes_themselves() -> None:
    """67 to 81, C and F sharp: common practice, no source."""
    assert DEFAULT_MAP.numbers == (67, 69, 71, 73, 74, 76, 78, 79, 81)


def test_white_keys_have_no_sharp() -> None:
    """Low A on A 57: G A B C D E F G A are all white keys of a keyboard, C of every octave a multiple of 12."""
    white = {0, 2, 4, 5, 7, 9, 11}
    assert {number % 12 for number in NoteMap.of(57, Spelling.NATURALS).numbers} == white


@pytest.mark.parametrize("spelling", Spelling)
@pytest.mark.parametrize("low_a", TRANSPOSITIONS)
def test_nine_notes_upward_teach_the_map(low_a: int, spelling: Spelling) -> None:
    """Exactly, for twelve transpositions and both spellings."""
    asked = NoteMap.of(low_a, spelling)
    learnt = calibrated(*asked.numbers).note_map
    assert learnt == asked
    assert learnt is not None
    assert (learnt.low_a, learnt.spelling) == (low_a, spelling)
    assert [learnt.note(number) for number in asked.numbers] == list(Note)


def test_an_instrument_may_go_its_own_way() -> None:
    """Any nine rising numbers can be learnt."""
    learnt = calibrated(60, 61, 62, 63, 64, 65, 66, 67, 70).note_map
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
    for at_s, number in ((0.0, 67), (1.0, 60), (1.0 + SETTLED_S / 2, 69), (3.0, None)):
        calibration.hear(Heard(at_s, number))
    assert calibration.learnt == (67, 69)


def test_a_note_that_goes_on_is_learnt_while_it_sounds() -> None:
    """The player need not stop to see that it was heard."""
    calibration = Calibration()
    calibration.hear(Heard(0.0, 67))
    calibration.pass_time(SETTLED_S)
    assert calibration.learnt == (67,)


def test_a_lower_note_starts_afresh_and_a_repeated_one_counts_once() -> None:
    """So a slip is mended by beginning again from low G."""
    assert calibrated(67, 69, 69, 71).learnt == (67, 69, 71)
    assert calibrated(67, 69, 71, 66).learnt == (66,)


@pytest.mark.parametrize("numbers", [(), (67,) * 9, tuple(range(9, 0, -1)), tuple(range(120, 129))])
def test_a_map_is_nine_rising_numbers(numbers: tuple[int, ...]) -> None:
    """Anything else is told in one line."""
    with pytest.raises(UserError):
        NoteMap(numbers)
