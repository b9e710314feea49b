"""What is made of MEI, as the guidelines of the Music Encoding Initiative (version 5) have it."""

from __future__ import annotations

from fractions import Fraction

import pytest

from companion.score.model import COMMON_TIME, FREE, Tempo
from tests.companion.score.formats.scores import (
    STAFF,
    complaints,
    measure,
    mei_book,
    mei_document,
    mei_notes,
    signs,
    spelled,
)

RPTEND = 'right="rptend"'


def read(layer: str, more: str = "", attributes: str = "") -> str:
    """The notes of one measure."""
    return spelled(mei_book(mei_document(measure(layer, more, attributes))).tunes[0])


@pytest.mark.parametrize(
    ("layer", "notes"),
    [
        (mei_notes("A4 B4"), "A2 B2"),
        (mei_notes("G8 A8 B8 c8"), "G1 A1 B1 c1"),
        (mei_notes("d4. e16 f16"), "d3 e1/2 f1/2"),
        (mei_notes("g2"), "g4"),
        (f"<beam>{mei_notes('a8 A8')}</beam>{mei_notes('A4')}", "a1 A1 A2"),
        (f'<tuplet num="3" numbase="2">{mei_notes("A8 B8 c8")}</tuplet>{mei_notes("d4")}', "A2/3 B2/3 c2/3 d2"),
        (f'{mei_notes("A4")}<rest dur="4"/>', "A2 z2"),
        (f'{mei_notes("A4")}<space dur="4"/>', "A2 z2"),
        ("<mRest/>", "z4"),
        (mei_notes("{g32} A4 {g32 d32 e32} A4"), "{g}A2 {gde}A2"),
        (f"<graceGrp>{mei_notes('g32 d32')}</graceGrp>{mei_notes('A2')}", "{gd}A4"),
        (f"<graceGrp><beam>{mei_notes('g32 d32')}</beam></graceGrp>{mei_notes('A2')}", "{gd}A4"),
        (f"<app><lem>{mei_notes('A2')}</lem><rdg>{mei_notes('B2')}</rdg></app>", "A4"),
        (f"<choice><sic>{mei_notes('A2')}</sic><corr>{mei_notes('B2')}</corr></choice>", "B4"),
        (f"<supplied>{mei_notes('A2')}</supplied><del>{mei_notes('B2')}</del>", "A4"),
        ('<note pname="a" oct="4" dur="4"><dot/></note><note pname="b" oct="4" dur="8"/>', "A3 B1"),
    ],
)
def test_notes_are_read_with_their_lengths_and_gracenotes(layer: str, notes: str) -> None:
    """Values, dots, tuplets, rests, and gracenotes alone, in groups and under beams."""
    assert read(layer) == notes


@pytest.mark.parametrize(
    ("attributes", "note"),
    [
        ('pname="c" oct="5" accid="s"', "c"),
        ('pname="c" oct="5" accid.ges="s"', "c"),
        ('pname="c" oct="5"', "c"),  # by the signature
        ('pname="d" oct="5" accid="f"', "c"),  # sounding pitch decides
        ('pname="f" oct="5" accid="n"', "z"),
        ('pname="g" oct="5" accid="s"', "z"),
        ('pname="b" oct="4" accid.ges="f"', "z"),
        ('pname="a" oct="3"', "z"),
        ('pname="h" oct="4"', "z"),
        ('pname="a" oct="4" accid="1qs"', "z"),
    ],
)
def test_what_sounds_decides_which_note_it_is(attributes: str, note: str) -> None:
    """An accidental is believed, written or sounding; then comes the signature of two sharps."""
    assert read(f'<note {attributes} dur="2"/>') == f"{note}4"


def test_an_accidental_holds_to_the_end_of_its_bar() -> None:
    """As in ABC 2.1 section 11.3, where the file does not tell what sounds."""
    natural, bare = '<note pname="f" oct="5" accid="n" dur="4"/>', '<note pname="f" oct="5" dur="4"/>'
    book = mei_book(mei_document(measure(natural + bare) + measure(bare + bare)))
    assert spelled(book.tunes[0]) == "z2 z2|f2 f2"


def test_a_bare_c_without_a_signature_is_the_chanters_with_a_word_about_it() -> None:
    """Pipers write no signature: the chanter's own note is played, and once a letter it is said."""
    staff = '<staffDef n="1" lines="5" meter.count="2" meter.unit="4"/>'
    bare = '<note pname="c" oct="5" dur="4"/>'
    book = mei_book(mei_document(measure(bare + bare), staff))
    assert spelled(book.tunes[0]) == "c2 c2"
    assert book.tunes[0].key == "HP"
    assert complaints(book) == [
        "letter-bent 3:37: 'C 5' is not the chanter's C, but is played as it; write its accidental, or the signature "
        "of F and C sharp"
    ]


def test_notes_off_the_chanter_are_told_with_their_place_and_a_way_out() -> None:
    """Named as they are written, with the transposition that makes the tune fit."""
    low = '<note pname="a" oct="3" dur="4"/><note pname="e" oct="4" dur="4"/>'
    book = mei_book(mei_document(measure(low)))
    assert complaints(book) == [
        "note-outside-nine 3:37: no chanter has the notes 'A 3', 'E 4', so they are left out; is it written an octave "
        "too low? read it with --transpose 12"
    ]
    assert book.tunes[0].fits == 12
    assert spelled(mei_book(mei_document(measure(low)), 12).tunes[0]) == "A2 e2"


def test_gracenotes_before_a_bar_line_lead_onto_the_note_after_it() -> None:
    """A bar line does not part them; what stands before is kept as offsets."""
    text = mei_document(measure(mei_notes("A2 {g32}")) + measure(mei_notes("B2")))
    (tune,) = mei_book(text).tunes
    assert spelled(tune) == "A4|{g}B4"
    assert tune.notes[1].grace_place(0).line == 3
    assert tune.notes[1].place.line == 4


def test_gracenotes_keep_their_lengths_and_their_slash() -> None:
    """Relative to the shortest of the group; a slash makes an acciaccatura."""
    slashed = '<note pname="g" oct="5" dur="16" grace="unacc"/><note pname="d" oct="5" dur="32" grace="acc"/>'
    (tune,) = mei_book(mei_document(measure(slashed + mei_notes("A2")))).tunes
    assert tune.notes[0].acciaccatura
    assert tune.notes[0].lengths_of_gracenotes() == (Fraction(2), Fraction(1))


@pytest.mark.parametrize(
    ("layer", "what"),
    [
        (f'{mei_notes("{g32}")}<rest dur="2"/>', "gracenotes-onto-rest 3:37: gracenotes lead onto a rest"),
        (mei_notes("A2 {g32}"), "gracenotes-without-note 3:70: no note follows these gracenotes, so they are left out"),
        (
            '<chord dur="2"><note pname="a" oct="4"/><note pname="e" oct="5"/></chord>',
            "chord 3:37: a chanter plays one",
        ),
        ('<note pname="a" oct="4"/>', "length-unreadable 3:37: the length of this note cannot be read"),
        (f"{mei_notes('A4')}<halfmRpt/>", "left-out 3:70: <halfmRpt> stands for music in a way that is not read"),
        (mei_notes("A4 A2"), "bar-too-long 3:37: the bar is too long: it lasts 3/4, M:2/4 asks for 2/4"),
    ],
)
def test_what_is_wrong_is_said_as_of_abc(layer: str, what: str) -> None:
    """The same kinds and sentences, with the line and column of the element."""
    book = mei_book(mei_document(measure(layer)))
    assert any(each.startswith(what) for each in complaints(book)), complaints(book)


def test_of_a_chord_the_highest_note_is_played() -> None:
    """As of chords in ABC."""
    chord = '<chord dur="2"><note pname="a" oct="4"/><note pname="e" oct="5"/><note pname="c" oct="5"/></chord>'
    assert read(chord) == "e4"


@pytest.mark.parametrize(
    "ties",
    [
        ('<note {a} dur="2" tie="i"/>', '<note {a} dur="4" tie="t"/><note {a} dur="4"/>', ""),
        ('<note xml:id="x" {a} dur="2"/>', '<note {a} dur="4"/><note {a} dur="4"/>', '<tie startid="#x"/>'),
    ],
)
def test_tied_notes_are_one_note_in_the_bar_of_the_first(ties: tuple[str, str, str]) -> None:
    """By an attribute or by an element."""
    first, second, more = (each.replace("{a}", 'pname="a" oct="4"') for each in ties)
    (tune,) = mei_book(mei_document(measure(first, more) + measure(second))).tunes
    assert spelled(tune) == "A6|A2"
    assert [bar.length for bar in tune.bars] == [Fraction(1, 2), Fraction(1, 2)]


def test_repeats_and_endings_are_followed() -> None:
    """With a pick-up, two endings, and what follows them played once."""
    text = mei_document(
        measure(mei_notes("e8"), attributes='metcon="false"')
        + measure(mei_notes("A2"), attributes='left="rptstart"')
        + f'<ending n="1">{measure(mei_notes("B2"), "", RPTEND)}</ending>'
        + f'<ending n="2">{measure(mei_notes("c2"))}</ending>'
        + measure(mei_notes("d2"), attributes='right="end"')
    )
    book = mei_book(text)
    (tune,) = book.tunes
    assert tune.order == (0, 1, 2, 1, 3, 4)
    assert [bar.number for bar in tune.bars] == [0, 1, 2, 3, 4]
    assert [signs(bar) for bar in tune.bars] == ["", "|:", "[1 :2|", "[2", "||"]
    assert not book.problems


@pytest.mark.parametrize(("words", "passes"), [("3×", 3), ("play 4 times", 4), ("hello", 2)])
def test_words_beside_a_repeat_say_how_often_it_is_played(words: str, passes: int) -> None:
    """MEI has no number for it."""
    text = measure(mei_notes("A2"), f"<dir>{words}</dir>", 'right="rptend"')
    assert mei_book(mei_document(text)).tunes[0].order == (0,) * passes


@pytest.mark.parametrize(
    ("plist", "line", "told"),
    [
        ("#s1 #s2 #s1", "", ["jump-not-followed"]),
        ("#s1 #s2", "", []),
        ("#s1 #s1 #s2", RPTEND, []),
    ],
)
def test_an_order_of_sections_that_plays_one_again_is_not_followed_in_silence(
    plist: str, line: str, told: list[str]
) -> None:
    """It is said, unless no section comes twice or a repeat tells as much (MEI 5, `expansion`)."""
    sections = [
        f'<section xml:id="s{i}">{measure(mei_notes(note), "", sign)}</section>'
        for i, note, sign in ((1, "A2", line), (2, "B2", ""))
    ]
    book = mei_book(mei_document(f'<expansion plist="{plist}"/>{"".join(sections)}'))
    assert spelled(book.tunes[0]) == "A4|B4"
    assert [each.split()[0] for each in complaints(book)] == told


def test_a_repeat_within_a_measure_parts_it() -> None:
    """A bar is what stands between two bar lines."""
    layer = f'{mei_notes("A4")}<barLine form="rptend"/>{mei_notes("B4")}'
    (tune,) = mei_book(mei_document(measure(layer))).tunes
    assert spelled(tune) == "A2|B2"
    assert tune.order == (0, 0, 1)


def test_a_measure_that_repeats_the_one_before_is_played_as_that() -> None:
    """`mRpt` holds no notes of its own."""
    (tune,) = mei_book(mei_document(measure(mei_notes("A4 {g32} B4")) + measure("<mRpt/>"))).tunes
    assert spelled(tune) == "A2 {g}B2|A2 {g}B2"


def test_a_rest_of_several_bars_counts_for_all_of_them() -> None:
    """The bar after it has the number that it would have."""
    (tune,) = mei_book(mei_document(measure('<multiRest num="4"/>') + measure(mei_notes("A2")))).tunes
    assert [bar.number for bar in tune.bars] == [1, 5]
    assert tune.bars[0].signs.counts_for == 4
    assert tune.bars[0].length == 2


def test_metre_and_tempo_change_where_the_file_says() -> None:
    """A metre by its signs; a tempo at the beginning of a bar holds from there, one within it from the next on."""
    text = mei_document(
        measure(mei_notes("A2"), '<tempo tstamp="1" mm="80" mm.unit="4">Lively</tempo>')
        + '<scoreDef><meterSig count="6" unit="8"/></scoreDef>'
        + measure(mei_notes("A2."), '<tempo tstamp="3" midi.bpm="60"/>')
        + '<scoreDef meter.sym="common" meter.count="4" meter.unit="4"/>'
        + measure(mei_notes("A1"))
        + '<scoreDef><meterSig visible="false"/></scoreDef>'
        + measure(mei_notes("A4"))
    )
    (tune,) = mei_book(text).tunes
    lively = Tempo(Fraction(1, 4), 80.0, "Lively")
    assert [bar.meter.text for bar in tune.bars] == ["2/4", "6/8", "C", "none"]
    assert [bar.meter for bar in tune.bars][2:] == [COMMON_TIME, FREE]
    assert [bar.tempo for bar in tune.bars] == [
        lively,
        lively,
        Tempo(Fraction(1, 4), 60.0),
        Tempo(Fraction(1, 4), 60.0),
    ]
    assert tune.tempo == lively


def test_of_several_voices_the_first_that_fits_is_read_and_said() -> None:
    """Here the second layer of the second staff; the others have notes that no chanter has."""
    low, high = '<note pname="c" oct="3" dur="2"/>', mei_notes("e2")
    text = (
        f'<measure><staff n="1"><layer n="1">{low}</layer></staff><staff n="2"><layer n="1">{low}</layer>'
        f'<layer n="2">{high}</layer></staff></measure>'
    )
    staves = STAFF + '<staffDef n="2" lines="5"><label>Pipes</label></staffDef>'
    book = mei_book(mei_document(text, staves))
    assert spelled(book.tunes[0]) == "e4"
    assert [each.partition(": ")[2] for each in complaints(book)] == [
        "of several voices one is read, staff 2 ('Pipes'), voice 2 of 2; save another as a score of its own, if it is "
        "the melody"
    ]


@pytest.mark.parametrize(("semitones", "written", "read_as"), [("2", "g", "A2"), ("-12", "a", "A2")])
def test_a_staff_that_transposes_is_read_as_it_sounds(semitones: str, written: str, read_as: str) -> None:
    """`trans.semi` is how much higher it sounds than it is written."""
    octave = {"g": 4, "a": 5}[written]
    staff = f'<staffDef n="1" lines="5" meter.count="2" meter.unit="4" trans.semi="{semitones}"/>'
    note = f'<note pname="{written}" oct="{octave}" dur="4"/>'
    book = mei_book(mei_document(measure(note + note), staff))
    assert spelled(book.tunes[0]).split()[0] == read_as
    assert not any("left-out" in each for each in complaints(book))


def test_a_transposition_that_leads_off_the_chanter_is_not_followed() -> None:
    """A pipe's A sounds as a B flat; its music is written with the nine notes all the same."""
    staff = STAFF.replace("/>", ' trans.semi="1"/>')
    book = mei_book(mei_document(measure(mei_notes("A4 c4")), staff))
    assert spelled(book.tunes[0]) == "A2 c2"
    assert [each.split()[0] for each in complaints(book)] == ["transposition-left-out"]


def test_each_piece_of_a_document_is_a_tune() -> None:
    """Two `mdiv` make a book of two, with their labels as titles."""
    one = mei_document(measure(mei_notes("A2")))
    first = one[one.index("<mdiv>") : one.index("</body>")]
    two = one.replace(first, first + first.replace("<mdiv>", '<mdiv label="The Second">').replace("oct", "oct"))
    assert [(tune.reference, tune.title) for tune in mei_book(two).tunes] == [("1", "Test"), ("2", "The Second")]


def test_titles_and_people_are_taken_from_the_head() -> None:
    """The composer from whichever element names him."""
    for head in (
        "<title>T</title><composer>C</composer>",
        '<title>T</title><respStmt><persName role="composer">C</persName></respStmt>',
    ):
        (tune,) = mei_book(mei_document(measure(mei_notes("A2")), head=head)).tunes
        assert (tune.title, tune.composer) == ("T", "C")


def test_a_tune_without_a_title_is_told() -> None:
    """As in ABC."""
    assert complaints(mei_book(mei_document(measure(mei_notes("A2")), head="<title/>")))[0].startswith("no-title")


def test_signs_over_notes_are_kept_by_their_names_in_abc() -> None:
    """Articulations, ornaments, chords, words over and under the staff, at a note or at a moment."""
    more = (
        '<fermata startid="#x"/><harm tstamp="2">Am</harm><dir startid="#x" place="below">low</dir>'
        '<trill tstamp="1"/><mordent form="upper" startid="#x"/>'
    )
    note = '<note xml:id="x" pname="a" oct="4" dur="4" artic="stacc ten"/>'
    (tune,) = mei_book(mei_document(measure(note + mei_notes("B4"), more))).tunes
    first, second = tune.notes
    assert set(first.decorations) == {"staccato", "tenuto", "fermata", "trill", "uppermordent"}
    assert (first.annotations, second.chord) == (("_low",), "Am")


@pytest.mark.parametrize("ending", ["<dir>Fine</dir>", '<repeatMark func="fine"/>', "<dir>fine.</dir>"])
def test_da_capo_al_fine_is_followed(ending: str) -> None:
    """From the last bar to the beginning, and to the fine."""
    text = measure(mei_notes("A2"), ending) + measure(mei_notes("B2"), "<dir>D.C. al Fine</dir>")
    assert mei_book(mei_document(text)).tunes[0].order == (0, 1, 0)


def test_rehearsal_marks_name_parts_and_breaths_end_phrases() -> None:
    """As P: and !shortphrase! in ABC."""
    text = (
        measure(mei_notes("A2"), "<reh>A</reh><breath/>")
        + measure(mei_notes("B2"))
        + measure(mei_notes("c2"), "<reh>B</reh>")
    )
    (tune,) = mei_book(mei_document(text)).tunes
    assert [(part.label, part.first, part.stop) for part in tune.parts] == [("A", 0, 2), ("B", 2, 3)]
    assert [bar.ends_phrase for bar in tune.bars] == [True, False, False]


def test_a_tune_of_measures_beyond_measure_is_cut() -> None:
    """And it is said."""
    book = mei_book(mei_document(measure(mei_notes("A2")) * 5_001))
    assert len(book.tunes[0].bars) == 5_000
    assert complaints(book)[0].startswith("tune-beyond-measure 5003:")
