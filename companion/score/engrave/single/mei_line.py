"""Writes some bars of a tune as MEI for one line of staff: as in print, but for what a screen says elsewhere."""

from __future__ import annotations

from dataclasses import replace
from xml.etree.ElementTree import Element, SubElement, tostring

from companion.score.engrave.mei import NAMESPACE
from companion.score.engrave.mei_bars import BarWriter
from companion.score.engrave.mei_head import metre, score_definition
from companion.score.engrave.style import StaffStyle, TitlePlace
from companion.score.model import Tune
from companion.score.staff.model import StaffBar

_STYLE = StaffStyle(title=TitlePlace.NONE, phrase_marks=False, tempo=False)
_NOT_SHOWN = ("reh", "dir", "harm")


def mei_of_line(tune: Tune, bars: tuple[StaffBar, ...]) -> str:
    """Bars of a tune that follow one another as an MEI document; ids are those of `mei_of`.

    The metre stands only where the tune begins or it changes. Part letters, chords, words and jumps are left out: which
    part is played, and where one goes on, a screen tells by itself.
    """
    first = bars[0].bar
    before = tune.bars[bars[0].index - 1] if bars[0].index else None
    written = metre(first.meter) if before is None or before.meter != first.meter else {}
    definition = score_definition(replace(tune, bars=(first, *tune.bars[1:])), _STYLE)
    for attribute in metre(first.meter).keys() - written.keys():
        del definition.attrib[attribute]
    root = Element("mei", {"xmlns": NAMESPACE, "meiversion": "5.0"})
    music = SubElement(root, "music")
    score = SubElement(SubElement(SubElement(music, "body"), "mdiv"), "score")
    score.append(definition)
    BarWriter(tune, _STYLE, frozenset()).add_part(score, 0, tune.parts[tune.part_of(bars[0].index)], bars)
    for measure in root.iter("measure"):
        for sign in [each for each in measure if each.tag in _NOT_SHOWN]:
            measure.remove(sign)
    return tostring(root, encoding="unicode")
