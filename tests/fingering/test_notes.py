"""The nine notes and their tunings."""

from __future__ import annotations

import pytest

from fingering.errors import UserError
from fingering.notes import HARMONIC, MACNEILL, TUNINGS, Note, Tuning


def test_the_chanter_has_nine_notes_from_low_g_to_high_a() -> None:
    """Nine, in order of pitch."""
    assert [note.letter for note in sorted(Note)] == list("GABcdefga")


def test_notes_are_named_as_pipers_say_them() -> None:
    """Only G and A need low or high."""
    assert [note.label for note in Note] == ["low G", "low A", "B", "C", "D", "E", "F", "high G", "high A"]


def test_midi_numbers_take_c_and_f_sharp() -> None:
    """Source: ABC 2.1, 3.1.14, the pipe scale G A B ^c d e ^f g a; middle C = 60, MIDI 1.0."""
    assert [note.midi for note in Note] == [67, 69, 71, 73, 74, 76, 78, 79, 81]


@pytest.mark.parametrize("note", Note)
def test_a_note_is_found_by_its_letter(note: Note) -> None:
    """Letter and note are one to one."""
    assert Note.from_letter(note.letter) is note


@pytest.mark.parametrize("letter", ["C", "b", "", "AA", "z"])
def test_a_letter_the_chanter_lacks_is_a_user_error(letter: str) -> None:
    """The message says which letters there are."""
    with pytest.raises(UserError, match="one of G A B c d e f g a"):
        Note.from_letter(letter)


# Cents above low A of the ratios in Macpherson 1998, publish.uwo.ca/~emacphe3/pipes/acoustics/hearscales.html.
MACNEILL_CENTS = (-203.9, 0.0, 203.9, 386.3, 519.6, 702.0, 884.4, 1017.6, 1200.0)


@pytest.mark.parametrize(("note", "cents"), list(zip(Note, MACNEILL_CENTS, strict=True)))
def test_macneills_scale_in_cents(note: Note, cents: float) -> None:
    """To a tenth of a cent."""
    assert MACNEILL.cents(note) == pytest.approx(cents, abs=0.05)


@pytest.mark.parametrize(("note", "cents"), [(Note.LOW_G, -231.2), (Note.D, 498.0), (Note.HIGH_G, 968.8)])
def test_the_harmonic_scale_differs_at_both_gs_and_d(note: Note, cents: float) -> None:
    """Source as above: 7/8, 4/3 and 7/4."""
    assert HARMONIC.cents(note) == pytest.approx(cents, abs=0.05)


@pytest.mark.parametrize("tuning", TUNINGS)
def test_every_tuning_rises_and_has_its_octave(tuning: Tuning) -> None:
    """High A is twice low A; each note is above the one before."""
    ratios = [tuning.ratio(note) for note in Note]
    assert ratios == sorted(set(ratios))
    assert ratios[Note.HIGH_A] == 2.0 * ratios[Note.LOW_A] == 2.0
