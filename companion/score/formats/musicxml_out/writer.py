"""`musicxml_of` and `packed_musicxml_of`: a tune as MusicXML 4.0, plain or compressed."""

from __future__ import annotations

import io
import math
import zipfile
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from companion.score.formats.kept_fields import KEY_FIELD, kept_fields
from companion.score.formats.musicxml_out.measures import MeasureWriter
from companion.score.formats.xml.packed import CONTAINER, MEDIA_TYPE
from companion.score.model import Tune
from companion.score.staff.spell import staff_of

_DOCTYPE = (
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">'
)
_DECLARATION = '<?xml version="1.0" encoding="UTF-8"?>\n'
_PART = "P1"
_BAGPIPE = "110"  # General MIDI Level 1, counted from 1: from memory
_MOST_DIVISIONS = 16_383  # what MusicXML allows, so that a MIDI file can have as many
_NAME_IN_PACK = "score.musicxml"
_SAME_DATE = (1980, 1, 1, 0, 0, 0)  # the earliest of a ZIP archive: the same tune makes the same bytes


def musicxml_of(tune: Tune) -> str:
    """The tune as a document of MusicXML 4.0, in one part, sounding as it is written at an A of 440 Hz.

    What MusicXML has no element for is kept in fields of their own (`miscellaneous`): the key's name, the kind of
    tune, the plan of parts, its number, and fields of ABC by their letters. Decorations that have no element are lost.
    """
    root = Element("score-partwise", version="4.0")
    if tune.title:
        SubElement(SubElement(root, "work"), "work-title").text = tune.title
    _add_identification(root, tune)
    _add_part_list(root)
    bars = staff_of(tune)
    part = SubElement(root, "part", id=_PART)
    lengths = [note.length for bar in bars for note in bar.notes]
    divisions = math.lcm(*((4 * length).denominator for length in lengths))
    writer = MeasureWriter(tune, min(divisions, _MOST_DIVISIONS))
    for bar in bars:
        writer.add(part, bar)
    indent(root, " ")
    return f"{_DECLARATION}{_DOCTYPE}\n{tostring(root, encoding='unicode')}\n"


def packed_musicxml_of(tune: Tune) -> bytes:
    """The bytes of a compressed MusicXML file (.mxl) with the tune."""
    container = Element("container")
    rootfile = {"full-path": _NAME_IN_PACK, "media-type": MEDIA_TYPE}
    SubElement(SubElement(container, "rootfiles"), "rootfile", rootfile)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in (
            (CONTAINER, _DECLARATION + tostring(container, encoding="unicode")),
            (_NAME_IN_PACK, musicxml_of(tune)),
        ):
            entry = zipfile.ZipInfo(name, _SAME_DATE)
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, text.encode("utf-8"))
    return packed.getvalue()


def _add_identification(root: Element, tune: Tune) -> None:
    identification = SubElement(root, "identification")
    if tune.composer:
        SubElement(identification, "creator", type="composer").text = tune.composer
    kept = ((KEY_FIELD, tune.key), ("rhythm", tune.rhythm), ("plan", tune.plan), ("reference", tune.reference))
    told = [(name, text) for name, text in (*kept, *kept_fields(tune)) if text]
    if told:
        miscellaneous = SubElement(identification, "miscellaneous")
        for name, text in told:
            SubElement(miscellaneous, "miscellaneous-field", name=name).text = text


def _add_part_list(root: Element) -> None:
    part = SubElement(SubElement(root, "part-list"), "score-part", id=_PART)
    SubElement(part, "part-name").text = "Chanter"
    instrument = f"{_PART}-I1"
    SubElement(SubElement(part, "score-instrument", id=instrument), "instrument-name").text = "Chanter"
    SubElement(SubElement(part, "midi-instrument", id=instrument), "midi-program").text = _BAGPIPE
