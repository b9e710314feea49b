"""Lists what stands in a layer of MEI in order, whatever beams, tuplets and editors' marks are around it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from companion.score.formats.xml.tree import Element

SOUNDING = frozenset({"note", "chord", "rest", "space", "mRest", "mSpace", "multiRest"})
NOT_READ = frozenset({"beatRpt", "halfmRpt", "mRpt2", "multiRpt", "tabGrp", "ineume", "syllable"})
"""What stands for music in ways that are not read."""
_ALTERNATIVES = {"app": ("lem", "rdg"), "choice": ("corr", "reg", "sic", "orig")}
_OTHERS = frozenset({"del", "clef", "artic", "accid", "verse", "syl", "dot", "label", "annot"})
_PASSED_ON = frozenset({"barLine", "keySig", "meterSig", "mRpt"})
_MOST = 64


@dataclass(frozen=True, slots=True)
class LayerItem:
    """One element of a layer. scale: what its written length is multiplied by. grace: whether it is a gracenote."""

    element: Element
    scale: Fraction
    grace: bool = False


def items_of(layer: Element) -> Iterator[LayerItem]:
    """Yield the notes, rests, bar lines and signs of a layer."""
    yield from _within(layer, Fraction(1), grace=False)


def _within(element: Element, scale: Fraction, *, grace: bool) -> Iterator[LayerItem]:
    for child in chosen(element):
        if child.tag in SOUNDING:
            yield LayerItem(child, scale, grace or bool(child.get("grace")))
        elif child.tag in _PASSED_ON or child.tag in NOT_READ:
            yield LayerItem(child, scale)
        elif child.tag not in _OTHERS:
            inner = scale * _ratio(child) if child.tag == "tuplet" else scale
            yield from _within(child, inner, grace=grace or child.tag == "graceGrp")


def chosen(element: Element) -> Iterator[Element]:
    """Yield the children of an element; of an editor's alternatives, what is in the first of them."""
    for child in element.children:
        tags = _ALTERNATIVES.get(child.tag)
        if tags is None:
            yield child
            continue
        alternative = next((found for tag in tags if (found := child.first(tag)) is not None), None)
        if alternative is not None:
            yield from chosen(alternative)


def _ratio(tuplet: Element) -> Fraction:
    """`numbase` in the time of `num`: 2/3 for a triplet; 1 where it is not told."""
    notes, time = tuplet.get("num"), tuplet.get("numbase")
    if notes.isdecimal() and time.isdecimal() and 0 < int(notes[:4]) <= _MOST and 0 < int(time[:4]) <= _MOST:
        return Fraction(int(time), int(notes))
    return Fraction(1)
