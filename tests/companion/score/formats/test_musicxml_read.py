"""What is made of MusicXML as programs write it (MusicXML 4.0, W3C Community Group, 2021)."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from companion.score.formats.books import read_tunes
from companion.score.model import Tempo
from companion.score.place import Place
from tests.companion.score.formats.scores import (
    ATTRIBUTES,
    complaints,
    musicxml_book,
    musicxml_document,
    signs,
    spelled,
    xml_grace,
    xml_measure,
    xml_note,
)


def read(*measures: str) -> str:
    """The notes of some measures."""
    text = "".join(xml_measure(notes, i) for i, notes in enumerate(measures, start=1))
    return spelled(musicxml_book(musicxml_document(text)).tunes[0])


def test_notes_that_tell_their_duration_only_get_a_value() -> None:
    """`type` may be left out; dots and triplets follow from the duration."""
    triplet = "<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>"
    three = [xml_note(letter, 2, triplet).replace("<duration>2", "<duration>4") for letter in "ABc"]
    three[0] = three[0].replace("</note>", '<notations><tuplet type="start"/></notations></note>')
    three[2] = three[2].replace("</note>", '<notations><tuplet type="stop"/></notations></note>')
    assert read(xml_note("A", 3) + xml_note("B", 1), xml_note("G", 4)) == "A3 B1|G4"
    in_sixths = ATTRIBUTES.replace("<divisions>2", "<divisions>6")
    text = f'<measure number="1">{in_sixths}{"".join(three)}{xml_note("d", 12)}</measure>'
    (tune,) = musicxml_book(musicxml_document(text)).tunes
    assert spelled(tune) == "A4/3 B4/3 c4/3 d4"


def test_gracenotes_lead_onto_the_next_note_whatever_is_between() -> None:
    """A single one, a group, and one before a bar line."""
    first = xml_grace("g") + xml_note("A", 2) + xml_grace("g") + xml_grace("d") + xml_note("B", 2) + xml_grace("e")
    assert read(first, xml_note("c", 4)) == "{g}A2 {gd}B2|{e}c4"


def test_a_slash_makes_an_acciaccatura_and_values_are_kept() -> None:
    """A semiquaver is twice as long as a demisemiquaver."""
    notes = xml_grace("g", "16th", "yes") + xml_grace("d") + xml_note("A", 4)
    (tune,) = musicxml_book(musicxml_document(xml_measure(notes))).tunes
    assert tune.notes[0].acciaccatura
    assert tune.notes[0].lengths_of_gracenotes() == (Fraction(2), Fraction(1))


def test_places_are_those_of_the_file_that_the_user_gave() -> None:
    """Though the music is turned into MEI before it is read, each note and gracenote has its line and column."""
    text = musicxml_document(xml_measure("\n" + xml_grace("g") + "\n  " + xml_note("A", 4)))
    (tune,) = musicxml_book(text).tunes
    lines = text.splitlines()
    note = tune.notes[0]
    assert lines[note.place.line - 1][note.place.column - 1 :].startswith("<note><pitch>")
    grace = note.grace_place(0)
    assert lines[grace.line - 1][grace.column - 1 :].startswith("<note><grace")
    assert note.place.source == "t.musicxml"


def test_what_does_not_fit_is_told_with_its_place_and_a_way_out() -> None:
    """As of ABC: the notes by their names, and the transposition that helps."""
    low = "<note><pitch><step>{}</step><octave>{}</octave></pitch><duration>2</duration><voice>1</voice></note>"
    book = musicxml_book(musicxml_document(xml_measure(low.format("A", 3) + "\n" + low.format("E", 4))))
    assert complaints(book) == [
        "note-outside-nine 5:152: no chanter has the notes 'A 3', 'E 4', so they are left out; is it written an octave "
        "too low? read it with --transpose 12"
    ]


@pytest.mark.parametrize("times", ["", ' times="2"', ' times="3"'])
def test_a_repeat_tells_how_often_it_is_played(times: str) -> None:
    """Twice, where it does not tell."""
    line = f'<barline location="right"><repeat direction="backward"{times}/></barline>'
    (tune,) = musicxml_book(musicxml_document(xml_measure(xml_note("A", 4) + line))).tunes
    assert len(tune.order) == (3 if "3" in times else 2)


def test_endings_for_several_passes_and_a_pick_up() -> None:
    """The pick-up has number 0, and the first ending is played twice."""
    pick_up = xml_measure(xml_note("e", 1), attributes=' implicit="yes"')
    start = '<barline location="left"><repeat direction="forward"/></barline>'
    first = (
        f'<barline location="left"><ending number="1, 2" type="start"/></barline>{xml_note("B", 4)}<barline location='
        '"right"><ending number="1, 2" type="stop"/><repeat direction="backward"/></barline>'
    )
    last = (
        f'<barline location="left"><ending number="3" type="start"/></barline>{xml_note("c", 3)}'
        '<barline location="right"><ending number="3" type="discontinue"/></barline>'
    )
    text = pick_up + xml_measure(start + xml_note("A", 4), 2) + xml_measure(first, 3) + xml_measure(last, 4)
    book = musicxml_book(musicxml_document(text))
    (tune,) = book.tunes
    assert tune.order == (0, 1, 2, 1, 2, 1, 3)
    assert [bar.number for bar in tune.bars] == [0, 1, 2, 3]
    assert [signs(bar) for bar in tune.bars] == ["", "|:", "[1,2 :2|", "[3"]
    assert not book.problems


def test_a_rest_of_several_measures_is_one_bar() -> None:
    """Programs write each of its measures; the number of the bar after it counts them all."""
    rest = '<note><rest measure="yes"/><duration>4</duration><voice>1</voice></note>'
    style = "<attributes><measure-style><multiple-rest>3</multiple-rest></measure-style></attributes>"
    text = xml_measure(xml_note("A", 4)) + xml_measure(style + rest, 2) + xml_measure(rest, 3) + xml_measure(rest, 4)
    (tune,) = musicxml_book(musicxml_document(text + xml_measure(xml_note("B", 4), 5))).tunes
    assert [bar.number for bar in tune.bars] == [1, 2, 5]
    assert tune.bars[1].signs.counts_for == 3


def test_of_several_parts_the_one_that_fits_is_read() -> None:
    """Here the second, of which is said that it is; a score cut by time is read as well."""
    low = "<note><pitch><step>C</step><octave>3</octave></pitch><duration>4</duration><voice>1</voice></note>"
    head = '<part-list><score-part id="P1"/><score-part id="P2"><part-name>Pipes</part-name></score-part></part-list>'
    parts = {"P1": f"{ATTRIBUTES}{low}", "P2": f"{ATTRIBUTES}{xml_note('e', 4)}"}
    one = '<measure number="1">'
    by_part = "".join(f'<part id="{name}">{one}{notes}</measure></part>' for name, notes in parts.items())
    by_time = "".join(f'<part id="{name}">{notes}</part>' for name, notes in parts.items())
    for text in (
        f"<score-partwise>{head}{by_part}</score-partwise>",
        f"<score-timewise>{head}{one}{by_time}</measure></score-timewise>",
    ):
        book = musicxml_book(text)
        assert spelled(book.tunes[0]) == "e4"
        assert any("of several voices one is read, staff 2 ('Pipes')" in each for each in complaints(book))


def test_a_second_voice_of_the_part_is_left_out() -> None:
    """Which is said."""
    second = xml_note("A", 4).replace("<voice>1", "<voice>2")
    notes = f"{xml_note('e', 4)}<backup><duration>4</duration></backup>{second}"
    book = musicxml_book(musicxml_document(xml_measure(notes)))
    assert spelled(book.tunes[0]) == "e4"
    assert [each.split()[0] for each in complaints(book)] == ["other-voice"]


def test_a_part_that_transposes_is_read_as_it_sounds() -> None:
    """Unless that leads off the chanter, as for pipes whose A sounds as a B flat."""
    up = "<transpose><diatonic>0</diatonic><chromatic>{}</chromatic></transpose></attributes>"
    octave = xml_measure(xml_note("a", 4)).replace("</attributes>", up.format(-12))
    assert spelled(musicxml_book(musicxml_document(octave)).tunes[0]) == "A4"
    pipes = xml_measure(xml_note("a", 4)).replace("</attributes>", up.format(1))
    book = musicxml_book(musicxml_document(pipes))
    assert spelled(book.tunes[0]) == "a4"
    assert [each.split()[0] for each in complaints(book)] == ["transposition-left-out"]


def test_a_c_that_is_natural_by_nothing_but_its_silence_is_the_chanters() -> None:
    """Without a signature, as pipers write; a natural that is written is believed."""
    bare = xml_note("c", 2).replace("<alter>1</alter>", "")
    natural = bare.replace("</voice>", "</voice><accidental>natural</accidental>")
    text = musicxml_document(xml_measure(bare + natural)).replace("<fifths>2", "<fifths>0")
    book = musicxml_book(text)
    assert spelled(book.tunes[0]) == "c2 z2"
    assert [each.split()[0] for each in complaints(book)] == ["letter-bent", "note-outside-nine"]
    assert "'C natural 5'" in complaints(book)[1]


def test_metre_tempo_title_and_composer_are_read() -> None:
    """Cut time by its sign, a dotted beat, the title of a movement, and of a page where no other is told."""
    tempo = (
        "<direction><direction-type><metronome><beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>76.5"
        "</per-minute></metronome></direction-type></direction>"
    )
    composer = "<identification><creator type='composer'>Me</creator></identification>"
    text = musicxml_document(xml_measure(tempo + xml_note("A", 8)), composer)
    text = text.replace("<time><beats>2</beats><beat-type>4", '<time symbol="cut"><beats>2</beats><beat-type>2')
    (tune,) = musicxml_book(text).tunes
    assert (tune.title, tune.composer, tune.meter.text) == ("Test", "Me", "C|")
    assert tune.tempo == Tempo(Fraction(3, 8), 76.5)
    for title in (
        "<movement-title>Other</movement-title>",
        "<credit><credit-type>title</credit-type><credit-words>Other</credit-words></credit>",
    ):
        other = text.replace("<work><work-title>Test</work-title></work>", title)
        assert musicxml_book(other).tunes[0].title == "Other"


def test_a_repeat_in_the_middle_of_a_measure_parts_it() -> None:
    """As ABC has it: a bar is what stands between two bar lines."""
    middle = '<barline location="middle"><repeat direction="backward"/></barline>'
    assert read(xml_note("A", 2) + middle + xml_note("B", 2)) == "A2|B2"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "iso-8859-1"])
def test_files_are_read_in_their_encodings(encoding: str, tmp_path: Path) -> None:
    """By their mark, by what they declare, or by how their first sign is written."""
    named = {"utf-8-sig": "UTF-8"}.get(encoding, encoding.upper()[:6] if "16" in encoding else encoding.upper())
    text = musicxml_document(xml_measure(xml_note("A", 4))).replace("Test", "Caférún").replace("UTF-8", named)
    path = tmp_path / "a.musicxml"
    path.write_bytes(text.encode(encoding))
    assert read_tunes(path).tunes[0].title == "Caférún"


def test_a_file_is_read_for_what_it_holds(tmp_path: Path) -> None:
    """Whatever its ending says: MusicXML in .abc, ABC in .mei."""
    text = musicxml_document(xml_measure(xml_note("A", 4)))
    (tmp_path / "a.abc").write_text(text)
    (tmp_path / "b.mei").write_text("X:1\nT:B\nK:HP\nB|\n")
    assert spelled(read_tunes(tmp_path / "a.abc").tunes[0]) == "A4"
    assert spelled(read_tunes(tmp_path / "b.mei").tunes[0]) == "B1"


def test_a_place_in_a_file_is_shown_with_the_files_own_name(tmp_path: Path) -> None:
    """So that it can be found."""
    path = tmp_path / "a.xml"
    path.write_text(musicxml_document(xml_measure(xml_note("A", 4))))
    assert read_tunes(path).tunes[0].place == Place(str(path), 3, 1)
