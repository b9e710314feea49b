"""What an MEI document says of a tune before its music: title, composer, kind, key, metre, clef."""

from __future__ import annotations

from xml.etree.ElementTree import Element, SubElement

from companion.score.engrave.style import KeySignature, StaffStyle, TitlePlace
from companion.score.formats.kept_fields import KEY_FIELD, kept_fields
from companion.score.model import Meter, Tune

# Sizes in percent of ordinary words, whose letters are some 20 tenths of a millimetre wide, capitals included.
_TITLE, _BELOW_TITLE, _SMALLEST = 170, 100, 60
_LETTER_WIDTH = 20.0
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
    kept = (("plan", tune.plan), (KEY_FIELD, tune.key), *kept_fields(tune))
    told = [(name, text) for name, text in kept if text]
    notes = SubElement(work, "notesStmt") if told else work
    for name, text in told:
        SubElement(notes, "annot", type=name).text = text
    if tune.rhythm:
        terms = SubElement(SubElement(work, "classification"), "termList")
        SubElement(terms, "term", type="rhythm").text = tune.rhythm


def score_definition(tune: Tune, style: StaffStyle, *, first: int = 0) -> Element:
    """The `scoreDef` of a tune: titles over the music, clef, key signature and metre.

    Titles are as large as `StaffStyle.room` lets them be. first: the index of the bar that the music begins with; the
    metre is printed where that is the tune's first, or has another one than the bar before it.
    """
    definition = Element("scoreDef", metre(tune.bars[first].meter))
    if first and tune.bars[first - 1].meter == tune.bars[first].meter:
        definition.set("meter.form", "invis")
    if style.title is not TitlePlace.NONE:
        _add_titles(definition, tune, style)
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


def _add_titles(definition: Element, tune: Tune, style: StaffStyle) -> None:
    """Title, kind and composer in the head of the first page, as pipers print them."""
    head = SubElement(definition, "pgHead", func="first")
    at = "center" if style.title is TitlePlace.CENTRE else "left"
    size = _percent(tune.title, style.room, _TITLE)
    SubElement(head, "rend", halign=at, valign="top", fontsize=f"{size}%").text = tune.title
    below = _percent(f"{tune.rhythm}  {tune.composer}", style.room, _BELOW_TITLE)
    if tune.rhythm:
        SubElement(head, "rend", halign="left", valign="bottom", fontsize=f"{below}%").text = tune.rhythm
    if tune.composer:
        SubElement(head, "rend", halign="right", valign="bottom", fontsize=f"{below}%").text = tune.composer


def _percent(words: str, room: float, largest: int) -> int:
    """The size at which some words fit into `room`, in percent of ordinary words."""
    return max(_SMALLEST, min(largest, int(100 * room / (_LETTER_WIDTH * max(1, len(words))))))
