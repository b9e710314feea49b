"""Writes the bars of a tune as measures of MusicXML: metre, key, repeats, endings."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree.ElementTree import Element, SubElement

from companion.score.engrave.mei_bars import ends_ending
from companion.score.formats.musicxml_out.directions import add_jump, add_label, add_tempo, add_words
from companion.score.formats.musicxml_out.notes import NoteWriter, written_notes
from companion.score.model import BarSigns, Meter, Tune
from companion.score.staff.model import StaffBar

SHARPS = 2
"""Pipe music sounds in two sharps, F and C, whether or not a signature is printed."""

_SYMBOLS = {"C": "common", "C|": "cut"}


class MeasureWriter:
    """Writes bars one after another."""

    def __init__(self, tune: Tune, divisions: int) -> None:
        self._tune = tune
        self._divisions = divisions
        self._notes = NoteWriter(divisions)
        self._ending: tuple[int, ...] = ()

    def add(self, part: Element, bar: StaffBar) -> None:
        """Write a bar; a rest of several bars becomes as many measures, marked as one rest."""
        signs, count = bar.bar.signs, bar.bar.signs.counts_for
        for i in range(count):
            measure = SubElement(part, "measure", number=str(bar.bar.number + i))
            if bar.pick_up and count == 1:
                measure.set("implicit", "yes")
            if i == 0:
                self._add_beginning(measure, bar)
            if count > 1:
                self._notes.add_whole_rest(measure, bar.bar.length / count)
            else:
                self._add_notes(measure, bar)
            if i + 1 == count:
                self._add_end(measure, bar, signs)

    def _add_beginning(self, measure: Element, bar: StaffBar) -> None:
        signs = bar.bar.signs
        before = self._tune.bars[bar.index - 1] if bar.index else None
        # The standard has a barline at the left before all else; attributes may follow it.
        self._add_left(measure, signs)
        meter = bar.bar.meter
        if before is None:
            _add_attributes(measure, self._divisions, meter)
        elif before.meter != meter:
            _add_time(SubElement(measure, "attributes"), meter)
        if signs.counts_for > 1:
            attributes = measure.find("attributes")
            attributes = SubElement(measure, "attributes") if attributes is None else attributes
            style = SubElement(attributes, "measure-style")
            SubElement(style, "multiple-rest").text = str(signs.counts_for)
        if signs.label is not None:
            add_label(measure, signs.label)
        if bar.bar.tempo is not None and (before is None or bar.bar.tempo != before.tempo):
            add_tempo(measure, bar.bar.tempo)

    def _add_left(self, measure: Element, signs: BarSigns) -> None:
        if not signs.opens and not signs.ending:
            return
        line = SubElement(measure, "barline", location="left")
        if signs.opens:
            SubElement(line, "bar-style").text = "heavy-light"
        if signs.ending:
            self._ending = signs.ending
            SubElement(line, "ending", number=_numbers(signs.ending), type="start")
        if signs.opens:
            SubElement(line, "repeat", direction="forward")

    def _add_notes(self, measure: Element, bar: StaffBar) -> None:
        notes = tuple(written_notes(bar))
        for i, written in enumerate(notes):
            if not written.note.tied_in:
                add_words(measure, written.note.source)
            last = i + 1 == len(notes)
            self._notes.add(measure, written, ends_phrase=last and bar.bar.ends_phrase)

    def _add_end(self, measure: Element, bar: StaffBar, signs: BarSigns) -> None:
        for jump in signs.jumps:
            add_jump(measure, jump)
        last = bar.index + 1 == len(self._tune.bars)
        over = bool(self._ending) and ends_ending(self._tune, bar.index)
        style = "light-heavy" if signs.closes or last else "light-light" if signs.double else ""
        if not style and not over:
            return
        line = SubElement(measure, "barline", location="right")
        if style:
            SubElement(line, "bar-style").text = style
        if over:
            kind = "stop" if signs.closes else "discontinue"
            SubElement(line, "ending", number=_numbers(self._ending), type=kind)
            self._ending = ()
        if signs.closes:
            repeat = SubElement(line, "repeat", direction="backward")
            if signs.closes > 2:
                repeat.set("times", str(signs.closes))


def _numbers(passes: Sequence[int]) -> str:
    return ",".join(map(str, passes))


def _add_attributes(measure: Element, divisions: int, meter: Meter) -> None:
    attributes = SubElement(measure, "attributes")
    SubElement(attributes, "divisions").text = str(divisions)
    SubElement(SubElement(attributes, "key"), "fifths").text = str(SHARPS)
    _add_time(attributes, meter)
    clef = SubElement(attributes, "clef")
    SubElement(clef, "sign").text = "G"
    SubElement(clef, "line").text = "2"


def _add_time(attributes: Element, meter: Meter) -> None:
    symbol = _SYMBOLS.get(meter.text)
    time = SubElement(attributes, "time", {"symbol": symbol} if symbol else {})
    if not meter.beats:
        SubElement(time, "senza-misura")
        return
    beats = meter.text.rpartition("/")[0].strip("()") if "+" in meter.text else str(meter.beats)
    SubElement(time, "beats").text = beats
    SubElement(time, "beat-type").text = str(meter.unit)
