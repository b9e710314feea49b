"""Small scores in MEI and MusicXML, and short ways to read them."""

from __future__ import annotations

from companion.score.engrave.verovio_toolkit import mei_of_musicxml
from companion.score.formats.mei.reader import read_mei_text
from companion.score.formats.musicxml.reader import read_musicxml_text
from companion.score.model import Bar, MelodyNote, Tune, Tunebook

STAFF = '<staffDef n="1" lines="5" keysig="2s" meter.count="2" meter.unit="4"/>'
ATTRIBUTES = (
    "<attributes><divisions>2</divisions><key><fifths>2</fifths></key>"
    "<time><beats>2</beats><beat-type>4</beat-type></time></attributes>"
)


def mei_document(measures: str, staves: str = STAFF, head: str = "<title>Test</title>") -> str:
    """An MEI document of these measures."""
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="5.0">'
        f"<meiHead><fileDesc><titleStmt>{head}</titleStmt><pubStmt/></fileDesc></meiHead><music><body><mdiv><score>"
        f"<scoreDef><staffGrp>{staves}</staffGrp></scoreDef><section>\n{measures}\n</section>"
        "</score></mdiv></body></music></mei>"
    )


def measure(layer: str, more: str = "", attributes: str = "") -> str:
    """A measure of MEI with one staff and one layer."""
    return f'<measure {attributes}><staff n="1"><layer n="1">{layer}</layer></staff>{more}</measure>\n'


def mei_notes(text: str) -> str:
    """Notes of MEI by words such as "a4" (a crotchet A), "c8." and "{g32 d32}e4", gracenotes in braces."""
    found: list[str] = []
    grace = False
    for word in text.split():
        grace = grace or word.startswith("{")
        name = word.strip("{}")
        letter, value = name[0], name[1:].rstrip(".")
        dots = f' dots="{name.count(".")}"' if "." in name else ""
        octave = "4" if letter in "GAB" else "5"
        sign = ' accid.ges="s"' if letter in "cf" else ""
        kind = ' grace="acc"' if grace else ""
        found.append(f'<note pname="{letter.lower()}" oct="{octave}"{sign} dur="{value}"{dots}{kind}/>')
        grace = grace and not word.endswith("}")
    return "".join(found)


def musicxml_document(measures: str, more: str = "") -> str:
    """A MusicXML document of one part with these measures, as most programs begin it."""
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<!DOCTYPE score-partwise PUBLIC '
        '"-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd">\n'
        f'<score-partwise version="4.0"><work><work-title>Test</work-title></work>{more}<part-list>'
        f'<score-part id="P1"><part-name>Pipes</part-name></score-part></part-list>\n<part id="P1">\n{measures}\n'
        "</part></score-partwise>"
    )


def xml_measure(notes: str, number: int = 1, attributes: str = "") -> str:
    """A measure of MusicXML; the first has 2/4 and two sharps."""
    return f'<measure number="{number}"{attributes}>{ATTRIBUTES if number == 1 else ""}{notes}</measure>\n'


def xml_note(letter: str, quavers: int = 2, more: str = "", before: str = "") -> str:
    """A note of MusicXML by its ABC letter, so many quavers long; no `type`, as lazy programs write it."""
    octave = 4 if letter in "GAB" else 5
    alter = "<alter>1</alter>" if letter in "cf" else ""
    pitch = f"<pitch><step>{letter.upper()}</step>{alter}<octave>{octave}</octave></pitch>"
    return f"<note>{before}{pitch}<duration>{quavers}</duration><voice>1</voice>{more}</note>"


def xml_grace(letter: str, value: str = "32nd", slash: str = "no") -> str:
    """A gracenote of MusicXML."""
    octave = 4 if letter in "GAB" else 5
    alter = "<alter>1</alter>" if letter in "cf" else ""
    pitch = f"<pitch><step>{letter.upper()}</step>{alter}<octave>{octave}</octave></pitch>"
    return f'<note><grace slash="{slash}"/>{pitch}<voice>1</voice><type>{value}</type></note>'


def mei_book(text: str, transpose: int = 0) -> Tunebook:
    """What an MEI document holds."""
    return read_mei_text(text, "t.mei", transpose)


def musicxml_book(text: str, transpose: int = 0) -> Tunebook:
    """What a MusicXML document holds; Verovio runs in this process, which takes less time than in one of its own."""
    return read_musicxml_text(text, "t.musicxml", transpose, mei_of_musicxml)


def spelled(tune: Tune) -> str:
    """The tune, bar by bar as written: gracenotes in braces, letter, length in quavers: "{gcd}c2 z1/2|A1"."""
    return "|".join(" ".join(map(_note, bar.notes)) for bar in tune.bars)


def _note(note: MelodyNote) -> str:
    graces = "".join(grace.letter for grace in note.gracenotes)
    letter = "z" if note.note is None else note.note.letter
    return f"{{{graces}}}{letter}{8 * note.duration}" if graces else f"{letter}{8 * note.duration}"


def signs(bar: Bar) -> str:
    """The repeats and endings of a bar in few signs: "|:", "[1,2", ":3|", "||"."""
    told = (
        "|:" if bar.signs.opens else "",
        f"[{','.join(map(str, bar.signs.ending))}" if bar.signs.ending else "",
        f":{bar.signs.closes}|" if bar.signs.closes else "",
        "||" if bar.signs.double else "",
    )
    return " ".join(filter(None, told))


def complaints(book: Tunebook) -> list[str]:
    """Each problem as "kind line:column: what; remedy"."""
    return [
        f"{problem.kind.label} {str(problem).removeprefix(f'{problem.place.source}:')}" for problem in book.problems
    ]
