"""Writes the bars of a tune as MEI measures: repeats, endings, parts, phrase marks, tempo and words."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree.ElementTree import Element, SubElement

from companion.score.engrave.mei_head import metre
from companion.score.engrave.mei_notes import add_layer
from companion.score.engrave.mei_signs import add_signs
from companion.score.engrave.style import StaffStyle
from companion.score.model import Meter, Part, Tune
from companion.score.staff.model import StaffBar

XML_ID = "{http://www.w3.org/XML/1998/namespace}id"


class BarWriter:
    """Writes bars one part after another. breaks: indices of the bars before which a line ends."""

    def __init__(self, tune: Tune, style: StaffStyle, breaks: frozenset[int]) -> None:
        self._tune = tune
        self._style = style
        self._breaks = breaks
        self._meter: Meter | None = None

    def add_part(self, score: Element, number: int, part: Part, bars: Sequence[StaffBar]) -> None:
        """Write one part as a `section`, with an `ending` around the bars of each ending."""
        self._add_bars(SubElement(score, "section", {XML_ID: f"p{number}", "label": part.label}), bars)

    def add_excerpt(self, score: Element, bars: Sequence[StaffBar]) -> None:
        """Write a stretch of bars as a `section` without a name."""
        self._meter = None
        self._add_bars(SubElement(score, "section"), bars)

    def _add_bars(self, section: Element, bars: Sequence[StaffBar]) -> None:
        holder = section
        for bar in bars:
            signs = bar.bar.signs
            if self._meter not in (None, bar.bar.meter):
                SubElement(section, "scoreDef", metre(bar.bar.meter))
            self._meter = bar.bar.meter
            if signs.ending or signs.opens:
                holder = section
            if bar.index in self._breaks:
                SubElement(holder, "sb")
            if signs.ending:
                holder = SubElement(section, "ending", n=", ".join(map(str, signs.ending)))
            self._add_measure(holder, bar)
            if ends_ending(self._tune, bar.index):
                holder = section

    def _add_measure(self, holder: Element, bar: StaffBar) -> None:
        signs = bar.bar.signs
        written = {XML_ID: bar.id, "n": str(bar.bar.number)}
        if signs.opens:
            written["left"] = "rptstart"
        if signs.closes:
            written["right"] = "rptend"
        elif bar.index + 1 == len(self._tune.bars):
            written["right"] = "end"
        elif signs.double:
            written["right"] = "dbl"
        full = bar.bar.meter.bar_length
        if full is not None and bar.bar.length != full * signs.counts_for:
            written["metcon"] = "false"
        measure = SubElement(holder, "measure", written)
        add_layer(SubElement(measure, "staff", n="1"), bar)
        add_signs(measure, bar, self._tune, self._style)


def ends_ending(tune: Tune, index: int) -> bool:
    """Whether an ending that a bar may be in is over after it (ABC 2.1 section 4.10)."""
    signs = tune.bars[index].signs
    if signs.closes or signs.double or signs.ends_ending or index + 1 == len(tune.bars):
        return True
    after = tune.bars[index + 1].signs
    return bool(after.opens or after.ending)
