"""Writes a tune as MEI (Music Encoding Initiative, version 5), as pipers write it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from companion.score.engrave.mei_bars import BarWriter
from companion.score.engrave.mei_head import add_head, score_definition
from companion.score.engrave.style import StaffStyle
from companion.score.model import Tune
from companion.score.staff.spell import staff_of

NAMESPACE = "http://www.music-encoding.org/ns/mei"
_DEFAULT = StaffStyle()


def mei_of(
    tune: Tune,
    style: StaffStyle = _DEFAULT,
    *,
    breaks: Collection[int] = (),
    excerpts: Sequence[range] | None = None,
) -> str:
    """The tune as an MEI document.

    Melody stems go down, gracenotes stand above with stems up and beamed as demisemiquavers. Each note has the id
    "n" and its rank, each gracenote "g", the rank of its melody note, "-" and its own from 0, each bar "b" and its
    index; a further piece of a tied note has "-2", "-3", ... after the note's id.
    breaks: indices of the bars before which a line ends. excerpts: stretches of bars that are written instead of the
    whole tune, none of them twice; each is a movement of its own, as it stands in the tune, ties into it too.
    """
    root = Element("mei", {"xmlns": NAMESPACE, "meiversion": "5.0"})
    add_head(root, tune)
    body = SubElement(SubElement(root, "music"), "body")
    bars = staff_of(tune)
    writer = BarWriter(tune, style, frozenset(breaks))
    if excerpts is None:
        score = _add_score(body, tune, style, first=0)
        for number, part in enumerate(tune.parts):
            writer.add_part(score, number, part, bars[part.first : part.stop])
    else:
        for stretch in excerpts:
            score = _add_score(body, tune, style, first=stretch.start)
            writer.add_excerpt(score, bars[stretch.start : stretch.stop])
    indent(root, " ")
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + tostring(root, encoding="unicode")


def _add_score(body: Element, tune: Tune, style: StaffStyle, *, first: int) -> Element:
    """The `score` of a movement that begins with the bar at an index."""
    score = SubElement(SubElement(body, "mdiv"), "score")
    score.append(score_definition(tune, style, first=first))
    return score
