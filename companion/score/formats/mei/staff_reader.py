"""Reads one staff of a score in MEI into written bars."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction

from companion.score.abc.header.transposing import Transposition
from companion.score.form.bar_builder import MOST_BARS, MOST_NOTES, BarBuilder, BarLine, TuneTooLong
from companion.score.form.problems import Problems
from companion.score.formats.mei.bar_signs import BRACKET, PLAIN, line_of
from companion.score.formats.mei.controls import Controls, controls_of
from companion.score.formats.mei.definitions import StaffInForce
from companion.score.formats.mei.layers import chosen
from companion.score.formats.mei.measure_reader import MeasureReader
from companion.score.formats.mei.voices import ScoreVoice
from companion.score.formats.xml.tree import Element
from companion.score.place import Place
from companion.score.problems import ProblemKind

PlaceOf = Callable[[Element], Place]
"""Where an element stands in the file that the user gave."""

_PASSED_OVER = frozenset({"expansion", "pb", "sb", "cb", "lb", "div", "annot", "pgHead", "pgFoot", "symbolTable"})


class StaffReader:
    """Reads one voice of a score: its bars are in `bars`, what its staff begins with in `opening`."""

    def __init__(self, voice: ScoreVoice, problems: Problems, place_of: PlaceOf, transposition: Transposition) -> None:
        self.voice = voice
        self.in_force = StaffInForce(voice.staff, transposition)
        self.bars = BarBuilder(self.in_force, problems)
        self.notes = MeasureReader(voice, self.in_force, self.bars, problems, place_of)
        self.opening = replace(self.in_force)
        self._problems = problems
        self._place_of = place_of
        self._ending_over = False
        self._resting = 0

    def read(self, score: Element) -> None:
        """Read a `score` or a `part` to its end."""
        place = self._place_of(score)
        try:
            for element in self._flow(score):
                place = self._place_of(element)
                self._measure(element, place)
        except TuneTooLong:
            longest = f"{MOST_BARS:,} bars or {MOST_NOTES:,} notes"
            what = f"the tune is longer than {longest}, so its rest is left out"
            self._problems.add(ProblemKind.TUNE_BEYOND_MEASURE, place, what, "make several tunes of it")
        self.notes.finish()
        if not self.bars.bars:
            self._open()

    def _flow(self, parent: Element) -> Iterator[Element]:
        """Yield the measures in order, while definitions, endings and labels between them are taken over."""
        for element in chosen(parent):
            if element.tag == "measure":
                yield element
            elif element.tag in ("scoreDef", "staffDef"):
                self.in_force.define(element)
                self._open()
            elif element.tag in ("meterSig", "keySig"):
                self.in_force.sign(element)
            elif element.tag == "ending":
                yield from self._ending(element)
            elif element.tag not in _PASSED_OVER:
                yield from self._flow(element)

    def _open(self) -> None:
        """Before the first measure, what is in force is what the tune opens with."""
        if not self.bars.bars:
            self.opening = replace(self.in_force)

    def _ending(self, element: Element) -> Iterator[Element]:
        self._ending_over = False
        self.bars.ending(element.get("n") or element.get("label"), self._place_of(element))
        yield from self._flow(element)
        self._ending_over = True

    def _measure(self, measure: Element, place: Place) -> None:
        bars = self.bars
        controls = controls_of(measure, self.voice.staff)
        if self._ending_over:
            self._close_ending(place)
        self._before(measure, controls, place)
        first = len(bars.bars)
        self._notes(measure, controls, place)
        if controls.ends_phrase and len(bars.bars) > first:
            bars.bars[-1].ends_phrase = True
        if measure.get("metcon") == "false":  # it is meant to be shorter or longer than its metre
            for bar in bars.bars[first:]:
                bar.doubtful = True
        for name, element in controls.jumps:
            bars.jump(name, self._place_of(element))
        self._line(self._right(measure, controls), place)
        for _, tempo in controls.tempos:
            self.in_force.tempo = tempo

    def _notes(self, measure: Element, controls: Controls, place: Place) -> None:
        """Read the notes of a measure; measures of rest that are one rest make one bar."""
        if self._resting and self.notes.rests(measure):
            self._resting -= 1
            return
        count = self.voice.rests.get(measure.id, 0)
        self._resting = 0
        if count > 1 and self.notes.rests(measure):
            self._resting = count - 1
            self.bars.rest_bars(count, place)
        else:
            self.notes.read(measure, controls, place)

    def _before(self, measure: Element, controls: Controls, place: Place) -> None:
        """What stands at the left of a measure, or is in force from its beginning."""
        left = line_of(measure.get("left"))
        if left != PLAIN:
            self._line(left, place)
        for moment, tempo in controls.tempos:
            if moment <= 1:
                self.in_force.tempo = tempo
                self._open()
        if controls.label is not None:
            self.bars.label(controls.label)

    def _right(self, measure: Element, controls: Controls) -> BarLine:
        line = line_of(measure.get("right"))
        passes = controls.passes or self.voice.passes.get(measure.id, 0)
        return replace(line, closes=passes) if line.closes and passes else line

    def _line(self, line: BarLine, place: Place) -> None:
        self.notes.bar_ends()
        self.bars.bar_line(line, place)

    def _close_ending(self, place: Place) -> None:
        """A measure follows an ending and is in none: where no repeat or double bar ends it, a bracket does."""
        self._ending_over = False
        last = self.bars.bars[-1] if self.bars.bars else None
        if last is not None and not self.bars.ending_begins and not last.closes and not last.double:
            self.bars.bar_line(BRACKET, place)

    def sounding(self) -> set[int]:
        """The MIDI notes of all notes and gracenotes that the chanter has."""
        written = [note for bar in self.bars.bars for note in bar.notes]
        found = {note.note.midi for note in written if note.note is not None}
        return found | {grace.midi for note in written for grace in note.gracenotes}

    def melody_notes(self) -> int:
        """How many notes the chanter has of it."""
        return sum(note.note is not None for bar in self.bars.bars for note in bar.notes)

    @property
    def shortest(self) -> Fraction:
        """The length that lengths of bars are told in."""
        return Fraction(1, max(8, self.opening.meter.unit))
