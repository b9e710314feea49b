"""The catalogue of embellishments: what gracenotes are called, and how a name is spelled.

The table agrees with Debian lilypond-data's bagpipe.ly, which `test_published_embellishments` reads; what comes from
elsewhere says so.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fingering.embellishments import Entry, Family, catalogue, entries_onto, recognise, spell
from fingering.errors import UserError
from fingering.notes import Note

notes = st.sampled_from(Note)

NAMES = [
    ("G", "gGd", "low G doubling"),
    ("A", "gAd", "low A doubling"),
    ("B", "gBd", "B doubling"),
    ("c", "gcd", "C doubling"),
    ("d", "gde", "D doubling"),
    ("e", "gef", "E doubling"),
    ("f", "gfg", "F doubling"),
    ("g", "gf", "high G doubling"),
    ("a", "ag", "high A doubling"),
    ("B", "Bd", "half B doubling"),
    ("d", "de", "half D doubling"),
    ("f", "fg", "half F doubling"),
    ("B", "aBd", "thumb B doubling"),
    ("g", "agf", "thumb high G doubling"),
    ("A", "gAG", "G gracenote strike on low A"),
    ("d", "gdc", "G gracenote light strike on D"),
    ("e", "geA", "G gracenote strike on E"),
    ("f", "gfe", "G gracenote strike on F"),
    ("B", "G", "strike on B"),
    ("e", "A", "strike on E"),
    ("d", "c", "light strike on D"),
    ("B", "g", "G gracenote"),
    ("B", "d", "D gracenote"),
    ("e", "a", "thumb gracenote"),
    ("d", "Gdc", "throw on D"),
    ("d", "GdGc", "heavy throw on D"),
    ("B", "GdG", "grip"),
    ("A", "GdGe", "taorluath"),
    ("e", "GdGeAfA", "crunluath"),
    ("A", "AGAG", "birl"),
    ("A", "GAG", "birl"),
    ("A", "gAGAG", "birl with G gracenote"),
    ("A", "dAGAG", "birl with D gracenote"),
    ("B", "gBeBG", "shake on B"),
    ("d", "dedc", "half light shake on D"),
    ("c", "gcGdG", "catch on C"),
    ("e", "eAfA", "edre"),
    ("B", "GdGcG", "darodo"),
    ("A", "ged", "cadence"),
    # Common practice, no source.
    ("B", "gBGBG", "G gracenote double strike on B"),
    ("f", "efefe", "triple strike on F"),
]

# Common practice, no source: the note before, the gracenotes, the note after them, the name.
NAMES_IN_CONTEXT = [
    ("a", "cd", "c", "half C doubling"),
    ("c", "cd", "c", "D gracenote"),
    ("d", "GBG", "A", "grip from D"),
    ("c", "GBG", "A", "B grip"),
    ("B", "GBG", "B", "double strike on B"),
    ("d", "GBG", "B", "grip from D"),
    ("d", "GBGe", "A", "taorluath from D"),
    ("d", "GBGeAfA", "e", "crunluath from D"),
    ("G", "dG", "A", "grip from low G"),
    ("G", "dGe", "A", "taorluath from low G"),
    ("G", "dc", "d", "half throw on D"),
    ("a", "dc", "d", "half light strike on D"),
    ("d", "GdG", "d", "double strike on D"),
    ("B", "GdG", "d", "grip"),
    ("a", "g", "a", "strike on high A"),
    ("A", "AGAG", "A", "birl"),
    ("G", "Gdc", "d", "throw on D"),
    ("d", "edfd", "e", "crunluath fosgailte on D"),
]


def read(letters: str) -> tuple[Note, ...]:
    """The notes that ABC letters stand for."""
    return tuple(map(Note.from_letter, letters))


def letters(group: tuple[Note, ...]) -> str:
    """The ABC letters of some notes."""
    return "".join(note.letter for note in group)


@pytest.mark.parametrize(("onto", "gracenotes", "name"), NAMES)
def test_embellishments_go_by_the_names_that_pipers_use(onto: str, gracenotes: str, name: str) -> None:
    """Each onto its note."""
    assert recognise(read(gracenotes), onto=Note.from_letter(onto)).name == name


@pytest.mark.parametrize(("before", "gracenotes", "onto", "name"), NAMES_IN_CONTEXT)
def test_the_note_before_gives_the_letters_their_sense(before: str, gracenotes: str, onto: str, name: str) -> None:
    """Letters that spell one embellishment after one note spell another after another note."""
    note = Note.from_letter(onto)
    assert recognise(read(gracenotes), onto=note, before=Note.from_letter(before)).name == name


def test_what_is_not_in_the_catalogue_is_named_by_its_letters() -> None:
    """It is still played."""
    found = recognise(read("BdBfc"), onto=Note.LOW_A)
    assert (found.family, found.name, found.gracenotes) == (Family.UNNAMED, "BdBfc", read("BdBfc"))


@given(st.lists(notes, max_size=8), notes, st.none() | notes)
def test_recognising_never_fails(group: list[Note], onto: Note, before: Note | None) -> None:
    """Whatever the notes, there is an answer, and it holds the gracenotes and the melody note as given."""
    found = recognise(group, onto=onto, before=before)
    assert (found.gracenotes, found.onto) == (tuple(group), onto)


@given(st.sampled_from(catalogue()), st.none() | notes)
def test_a_spelled_embellishment_is_recognised_as_what_was_asked_for(entry: Entry, before: Note | None) -> None:
    """Where the letters are the form that belongs after the note before, that form is recognised instead."""
    asked = entry.embellishment
    if not entry.suits(before):
        return
    spelled = spell(asked.name, onto=asked.onto, before=before)
    found = recognise(spelled, onto=asked.onto, before=before)
    from_here = {
        other.embellishment
        for other in entries_onto(asked.onto)
        if other.approach.only_from is before and other.embellishment.gracenotes == spelled
    }
    assert found.name == asked.name or found in from_here


@pytest.mark.parametrize("entry", catalogue(), ids=lambda entry: letters(entry.embellishment.gracenotes))
def test_every_entry_is_what_its_gracenotes_are_called_somewhere(entry: Entry) -> None:
    """No row of the catalogue is hidden behind another."""
    asked = entry.embellishment
    befores = [before for before in (None, *Note) if entry.suits(before)]
    assert asked in [recognise(asked.gracenotes, onto=asked.onto, before=before) for before in befores]


def test_no_two_entries_are_the_same() -> None:
    """A name onto a note, from a place, is spelled one way; only the birl has two, by where it comes from."""
    keys = [(entry.embellishment.name, entry.embellishment.onto, entry.approach) for entry in catalogue()]
    assert len(keys) == len(set(keys))


# Common practice, no source: what is typed, the note before, the melody note, the gracenotes.
SPELLINGS = [
    ("doubling", "A", "c", "gcd"),
    ("doubling", "g", "c", "acd"),
    ("doubling", "a", "c", "cd"),
    ("C doubling", "a", "c", "cd"),
    ("half doubling", "g", "d", "de"),
    ("half doubling", "e", "g", "gf"),
    ("doubling", "g", "g", "agf"),
    ("D throw", "A", "d", "Gdc"),
    ("thumb doubling", "g", "B", "aBd"),
    ("doubling", "e", "g", "gf"),
    ("doubling", "e", "a", "ag"),
    ("taorluath", "c", "A", "GdGe"),
    ("taorluath", "d", "A", "GBGe"),
    ("taorluath", "G", "A", "dGe"),
    ("Taorluath", "e", "A", "GdGe"),
    ("grip", "B", "e", "GdG"),
    ("grip", "d", "e", "GBG"),
    ("leumluath", "d", "e", "GBG"),
    ("throw", "A", "d", "Gdc"),
    ("throw", "G", "d", "dc"),
    ("throw-on-D", "A", "d", "Gdc"),
    ("heavy_throw", "A", "d", "GdGc"),
    ("crunluath", "A", "e", "GdGeAfA"),
    ("crunluath", "d", "e", "GBGeAfA"),
    ("crunluath a mach", "c", "e", "GdGcecfc"),
    ("birl", "B", "A", "AGAG"),
    ("birl", "A", "A", "GAG"),
    ("strike", "A", "B", "G"),
    ("G gracenote strike", "A", "e", "geA"),
    ("G gracenote strike", "g", "e", "aeA"),
    ("G gracenote strike", "a", "e", "eA"),
    ("pele", "a", "B", "BeBG"),
    ("gracenote", "A", "B", "g"),
    ("gracenote", "g", "B", "a"),
    ("gracenote", "a", "B", "e"),
]


@pytest.mark.parametrize(("name", "before", "onto", "gracenotes"), SPELLINGS)
def test_an_embellishment_is_spelled_for_its_place(name: str, before: str, onto: str, gracenotes: str) -> None:
    """By family, kind or full name, as people type it."""
    spelled = spell(name, onto=Note.from_letter(onto), before=Note.from_letter(before))
    assert letters(spelled) == gracenotes


@pytest.mark.parametrize(("name", "onto", "gracenotes"), [("taorluath", "A", "GdGe"), ("double strike", "d", "GdG")])
def test_the_note_before_may_be_left_out(name: str, onto: str, gracenotes: str) -> None:
    """Then the usual form is spelled, or the only one there is."""
    assert letters(spell(name, onto=Note.from_letter(onto))) == gracenotes


NEEDING_A_FREE_FINGER = (
    *("doubling", "shake", "light shake", "catch", "gracenote"),
    *(f"G gracenote {strike}" for strike in ("strike", "light strike", "double strike", "triple strike")),
)


@given(st.sampled_from(NEEDING_A_FREE_FINGER), notes, notes)
def test_nothing_spelled_asks_for_a_finger_that_is_up_already(name: str, onto: Note, before: Note) -> None:
    """A gracenote above its note is lifted: no G gracenote from high G or high A, no thumb gracenote from high A."""
    try:
        first = spell(name, onto=onto, before=before)[0]
    except UserError:
        return
    assert name != "gracenote" or first is not before
    if first > onto:
        assert first is not Note.HIGH_G or before not in (Note.HIGH_G, Note.HIGH_A)
        assert first is not Note.HIGH_A or before is not Note.HIGH_A


@pytest.mark.parametrize(("name", "onto"), [("wobble", "c"), ("", "A"), ("throw on D", "c"), ("birl", "B")])
def test_a_name_that_does_not_exist_there_lists_those_that_do(name: str, onto: str) -> None:
    """On one line."""
    note = Note.from_letter(onto)
    with pytest.raises(UserError, match="choose one of: strike") as caught:
        spell(name, onto=note)
    assert "grip" in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("family", Family)
def test_every_family_says_how_it_is_played_in_one_sentence(family: Family) -> None:
    """For learners, and every family but the unnamed is in the catalogue."""
    assert family.how_it_is_played.endswith(".")
    found = {entry.embellishment.family for entry in catalogue()}
    assert (family in found) != (family is Family.UNNAMED)
