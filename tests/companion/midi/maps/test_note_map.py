"""Which MIDI note number is which note."""

from __future__ import annotations

import pytest

from companion.midi.maps.note_map import DEFAULT_MAP, NoteMap, Spelling
from fingering.errors import UserError


def test_the_default_map_is_the_one_of_the_notes_themselves() -> None:
    """67 to 81, C and F sharp: common practice, no source."""
    assert DEFAULT_MAP.numbers == (67, 69, 71, 73, 74, 76, 78, 79, 81)


def test_white_keys_have_no_sharp() -> None:
    """Low A on A 57: G A B C D E F G A are all white keys of a keyboard, C of every octave a multiple of 12."""
    white = {0, 2, 4, 5, 7, 9, 11}
    assert {number % 12 for number in NoteMap.of(57, Spelling.NATURALS).numbers} == white


@pytest.mark.parametrize("numbers", [(), (67,) * 9, tuple(range(9, 0, -1)), tuple(range(120, 129))])
def test_a_map_is_nine_rising_numbers(numbers: tuple[int, ...]) -> None:
    """Anything else is told in one line."""
    with pytest.raises(UserError, match="not the nine notes of a chanter; give nine rising MIDI note numbers"):
        NoteMap(numbers)
