"""From and onto which notes an embellishment can be played; common practice, no source, as is the catalogue."""

from __future__ import annotations

from fingering.embellishments import catalogue, notes_before, notes_onto, spell
from fingering.notes import Note


def letters(notes: tuple[Note, ...]) -> str:
    """The notes as ABC letters."""
    return "".join(note.letter for note in notes)


def test_a_taorluath_leads_onto_all_notes_but_e_from_any_note() -> None:
    """Onto E its last gracenote would not be heard."""
    assert letters(notes_onto("taorluath")) == "GABcdfga"
    assert letters(notes_before("taorluath", Note.LOW_A)) == "GABcdefga"


def test_a_form_for_one_note_comes_from_that_note_alone() -> None:
    """As its name says."""
    assert notes_before("taorluath from D", Note.B) == (Note.D,)
    assert notes_before("grip from low G", Note.B) == (Note.LOW_G,)


def test_what_begins_with_its_melody_note_does_not_come_from_that_note() -> None:
    """A half doubling on C from C would begin with what sounds already."""
    assert Note.C not in notes_before("half doubling", Note.C)
    assert Note.B in notes_before("half doubling", Note.C)


def test_a_doubling_comes_from_high_g_too_made_by_the_thumb() -> None:
    """On high G the finger of the G gracenote is up already."""
    assert Note.HIGH_G in notes_before("doubling", Note.B)
    assert letters(spell("doubling", onto=Note.B, before=Note.HIGH_G)) == "aBd"


def test_what_no_catalogue_has_leads_nowhere() -> None:
    """And comes from nowhere."""
    assert notes_onto("curl") == ()
    assert notes_before("birl", Note.E) == ()


def test_every_entry_has_a_note_before_it() -> None:
    """From which it is spelled as it stands in the catalogue."""
    for entry in catalogue():
        onto = entry.embellishment.onto
        spelled = {spell(entry.kind, onto=onto, before=before) for before in notes_before(entry.kind, onto)}
        assert entry.embellishment.gracenotes in spelled


def test_full_names_say_the_melody_note_once() -> None:
    """In the trade's order of words."""
    names = {entry.embellishment.full_name for entry in catalogue()}
    assert {"C doubling", "taorluath on low A", "throw on D", "grip from D onto B", "B taorluath on B"} <= names
    assert "C doubling on C" not in names
