"""What an MEI document says of a tune before its music: title, composer, kind, key, metre, clef."""

from __future__ import annotations

from xml.etree.ElementTree import Element, SubElement

from companion.score.engrave.style import KeySignature, StaffStyle, TitlePlace
from companion.score.model import Meter, Tune

_SYMBOLS = {"C": "common", "C|": "cut"}


def add_head(root: Element, tune: Tune) -> None:
    """Write the `meiHead`: title, composer, and in a `work` the kind of tune, its reference, key and plan of parts."""
    head = SubElement(root, "meiHead")
    description = SubElement(head, "fileDesc")
    titles = SubElement(description, "titleStmt")
    SubElement(titles, "title").text = tune.title
    if tune.composer:
        SubElement(titles, "composer").text = tune.composer
    SubElement(description, "pubStmt")
    work = SubElement(SubElement(head, "workList"), "work")
    if tune.reference:
        SubElement(work, "identifier").text = tune.reference
    SubElement(work, "title").text = tune.title
    if tune.plan:
        notes = SubElement(work, "notesStmt")
        SubElement(notes, "annot", type="plan").text = tune.plan
    if tune.rhythm:
        terms = SubElement(SubElement(work, "classification"), "termList")
        SubElement(terms, "term", type="rhythm").text = tune.rhythm


def score_definition(tune: Tune, style: StaffStyle, *, first: int = 0) -> Element:
    """The `scoreDef` of a tune: titles over the music, clef, key signature and metre.

    first: the index of the bar that the music begins with; the metre is printed where that is the tune's first, or has
    another one than the bar before it.
    """
    definition = Element("scoreDef", metre(tune.bars[first].meter))
    if first and tune.bars[first - 1].meter == tune.bars[first].meter:
        definition.set("meter.form", "invis")
    if style.title is not TitlePlace.NONE:
        _add_titles(definition, tune, style.title)
    group = SubElement(definition, "staffGrp")
    signature = "2s" if style.key_signature is KeySignature.SHARPS else "0"
    SubElement(group, "staffDef", {"n": "1", "lines": "5", "clef.shape": "G", "clef.line": "2", "keysig": signature})
    return definition


def metre(meter: Meter) -> dict[str, str]:
    """The attributes of a metre; none for a free one."""
    if not meter.beats:
        return {}
    written = {"meter.count": str(meter.beats), "meter.unit": str(meter.unit)}
    if meter.text in _SYMBOLS:
        written["meter.sym"] = _SYMBOLS[meter.text]
    elif "+" in meter.text:
        written["meter.count"] = meter.text.rpartition("/")[0].strip("()")
    return written


def _add_titles(definition: Element, tune: Tune, place: TitlePlace) -> None:
    """Title, kind and composer in the head of the first page, as pipers print them."""
    head = SubElement(definition, "pgHead", func="first")
    at = "center" if place is TitlePlace.CENTRE else "left"
    SubElement(head, "rend", halign=at, valign="top", fontsize="170%").text = tune.title
    if tune.rhythm:
        SubElement(head, "rend", halign="left", valign="bottom", fontsize="100%").text = tune.rhythm
    if tune.composer:
        SubElement(head, "rend", halign="right", valign="bottom", fontsize="100%").text = tune.composer
