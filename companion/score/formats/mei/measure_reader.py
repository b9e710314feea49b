"""Reads the notes of one voice in a measure of MEI."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from companion.score.form.bar_builder import BarBuilder
from companion.score.form.outside import Outside, OutsideNotes
from companion.score.form.problems import Problems
from companion.score.form.ticks import TICKS_PER_WHOLE, fraction_to_ticks, ticks_to_fraction
from companion.score.form.written import WrittenBar, rest_of
from companion.score.formats.mei.bar_signs import line_of
from companion.score.formats.mei.controls import ARTICULATIONS, Adornments, Controls
from companion.score.formats.mei.definitions import StaffInForce
from companion.score.formats.mei.gracenotes import WaitingGracenotes
from companion.score.formats.mei.layers import NOT_READ, LayerItem, items_of
from companion.score.formats.mei.lengths import length_of, ticks_of
from companion.score.formats.mei.pitches import Accidentals, WrittenPitch
from companion.score.formats.mei.voices import ScoreVoice
from companion.score.formats.xml.tree import Element
from companion.score.model import MelodyNote
from companion.score.place import Place
from companion.score.problems import ProblemKind

_CROTCHET = Fraction(1, 4)
_CHECKED_EVERY = 64
_WHOLE_BARS = ("mRest", "mSpace", "multiRest")
_SILENT = (*_WHOLE_BARS, "rest", "space")


class _Placed(NamedTuple):
    """A note that was read: its bar, its rank in it, and when it begins in the measure, in whole notes."""

    bar: WrittenBar
    rank: int
    begins: Fraction


class MeasureReader:
    """Reads notes into `bars`; those off the chanter are kept in `outside`."""

    def __init__(
        self,
        voice: ScoreVoice,
        in_force: StaffInForce,
        bars: BarBuilder,
        problems: Problems,
        place_of: Callable[[Element], Place],
    ) -> None:
        self.outside = OutsideNotes()
        self._voice = voice
        self._in_force = in_force
        self._bars = bars
        self._problems = problems
        self._place_of = place_of
        self._accidentals = Accidentals()
        self._gracenotes = WaitingGracenotes(problems)
        self._by_id: dict[str, _Placed] = {}
        self._placed: list[_Placed] = []
        self._measure_before: Sequence[LayerItem] = ()

    def read(self, measure: Element, controls: Controls, place: Place) -> None:
        """Read the voice's notes in a measure."""
        layer = self._voice.layer_in(measure)
        self._by_id.clear()
        self._placed.clear()
        if layer is None:
            self._silent(place)
            return
        items = _in_tuplets(tuple(items_of(layer)), controls)
        if any(item.element.tag == "mRpt" for item in items):
            items = self._measure_before
        reached = Fraction(0)
        for item in items:
            if self._bars.open is not None and not len(self._bars.open.notes) % _CHECKED_EVERY and self._full(item):
                break
            reached += self._item(item, reached, controls)
        self._measure_before = items
        self._adorn(controls)

    def rests(self, measure: Element) -> bool:
        """Whether the voice has nothing but rests in a measure."""
        layer = self._voice.layer_in(measure)
        return layer is None or all(item.element.tag in _SILENT for item in items_of(layer))

    def bar_ends(self) -> None:
        """A bar line has come: accidentals hold no longer."""
        self._accidentals.bar_ends()

    def finish(self) -> None:
        """End the tune: report what still waits for a note."""
        self._gracenotes.finish()

    def _full(self, item: LayerItem) -> bool:
        bar = self._bars.open
        return bool(bar and bar.notes) and self._bars.full(self._place_of(item.element))

    def _item(self, item: LayerItem, begins: Fraction, controls: Controls) -> Fraction:
        """Read one element of the layer; returns how long it lasts."""
        element = item.element
        if element.tag == "barLine":
            self.bar_ends()
            self._bars.bar_line(line_of(element.get("form")), self._place_of(element))
        elif element.tag in ("meterSig", "keySig"):
            self._in_force.sign(element)
        elif element.tag in NOT_READ:
            what = f"<{element.tag}> stands for music in a way that is not read, so its music is lost"
            self._problems.add(ProblemKind.LEFT_OUT, self._place_of(element), what, "write the notes out")
            self._bars.doubt()
        elif element.tag in _WHOLE_BARS:
            return self._whole_rest(element)
        elif item.grace:
            self._grace(item)
        else:
            return self._note(item, begins, controls)
        return Fraction(0)

    def _silent(self, place: Place) -> None:
        """A measure in which the staff has nothing: a bar of rest."""
        self._add_rest(self._full_ticks(), place)

    def _full_ticks(self) -> int:
        length = self._in_force.meter.bar_length
        return fraction_to_ticks(length) if length else TICKS_PER_WHOLE

    def _add_rest(self, ticks: int, place: Place) -> None:
        bar = self._bars.open or self._bars.begin(place)
        bar.add(rest_of(self._bars.notes, ticks, place), ticks)
        self._bars.notes += 1

    def _whole_rest(self, element: Element) -> Fraction:
        place, count = self._place_of(element), element.get("num")
        if element.tag == "multiRest":
            self._bars.rest_bars(int(count[:6]) if count.isdecimal() else 1, place)
            return Fraction(0)
        ticks = self._full_ticks()
        self._add_rest(ticks, place)
        return ticks_to_fraction(ticks)

    def _grace(self, item: LayerItem) -> None:
        element = item.element
        pitch = self._pitch(element)
        length = length_of(element, "", self._in_force.ppq) or _CROTCHET
        slashed = any(each.get("grace") == "unacc" for each in (element, *element.children))
        if element.tag in ("note", "chord"):
            note = pitch.note if pitch is not None else None
            self._gracenotes.add(note, length, self._place_of(element), slashed=slashed)

    def _note(self, item: LayerItem, begins: Fraction, controls: Controls) -> Fraction:
        element, in_force = item.element, self._in_force
        place = self._place_of(element)
        length = length_of(element, in_force.default_length, in_force.ppq)
        if length is None:
            what = f"the length of this {'rest' if element.tag in ('rest', 'space') else 'note'} cannot be read"
            self._problems.add(ProblemKind.LENGTH_UNREADABLE, place, what, 'give it a value, such as dur="8"')
            self._bars.doubt()
            length = _CROTCHET
        ticks = ticks_of(length * item.scale)
        bars = self._bars
        bar = bars.open or bars.begin(place)
        pitch = self._pitch(element) if element.tag in ("note", "chord") else None
        note = MelodyNote(bars.notes, pitch.note if pitch else None, ticks_to_fraction(ticks), (), place)
        if element.tag in ("note", "chord"):
            note = self._gracenotes.onto(note, is_rest=False)._replace(decorations=_articulations(element))
        elif element.tag == "rest":
            note = self._gracenotes.onto(note, is_rest=True)
        placed = _Placed(bar, len(bar.notes), begins)
        if _is_tied(element, controls):
            bar.tied.append(len(bar.notes))
        bar.add(note, ticks)
        bars.notes += 1
        self._placed.append(placed)
        for each in (element, *element.children):
            if each.id:
                self._by_id[each.id] = placed
        return ticks_to_fraction(ticks)

    # Pitches

    def _pitch(self, element: Element) -> WrittenPitch | None:
        """The pitch of a note; of a chord, the highest note that the chanter has."""
        if element.tag != "chord":
            return self._pitch_of_note(element)
        place = self._place_of(element)
        what = "a chanter plays one note at a time"
        self._problems.add(ProblemKind.CHORD, place, what, "write the melody note alone")
        read = [self._accidentals.read(child, self._in_force.key) for child in element.children if child.tag == "note"]
        found = [pitch for pitch in read if pitch is not None]
        if not found:
            return None
        highest = max(found, key=lambda pitch: (-1 if pitch.note is None else int(pitch.note), pitch.midi))
        self._tell(highest, place)
        return highest

    def _pitch_of_note(self, element: Element) -> WrittenPitch | None:
        place = self._place_of(element)
        pitch = self._accidentals.read(element, self._in_force.key)
        if pitch is None:
            what = "the pitch of this note cannot be read, so it is left out"
            self._problems.add(ProblemKind.LEFT_OUT, place, what, "give it a letter and an octave")
            return None
        self._tell(pitch, place)
        return pitch

    def _tell(self, pitch: WrittenPitch, place: Place) -> None:
        if pitch.note is None:
            self.outside.add(Outside(pitch.words, "", pitch.midi), place)
        elif pitch.bent and self._problems.first_time(f"bent {pitch.letter}"):
            what = f"'{pitch.words}' is not the chanter's {pitch.note.label}, but is played as it"
            remedy = "write its accidental, or the signature of F and C sharp"
            self._problems.add(ProblemKind.LETTER_BENT, place, what, remedy)

    # What stands over notes

    def _adorn(self, controls: Controls) -> None:
        for target, adornments in controls.over.items():
            placed = self._by_id.get(target) or self._at(1)
            _put(placed, adornments)
        for moment, adornments in controls.at.items():
            _put(self._at(moment), adornments)

    def _at(self, moment: float) -> _Placed | None:
        """The note that begins at a moment of the measure, or the first after it; else the last."""
        unit = 1 / self._in_force.meter.unit
        later = (each for each in self._placed if float(each.begins) >= (moment - 1) * unit - 1e-6)
        return next(later, self._placed[-1] if self._placed else None)


def _put(placed: _Placed | None, adornments: Adornments) -> None:
    if placed is None:
        return
    note = placed.bar.notes[placed.rank]
    placed.bar.notes[placed.rank] = note._replace(
        chord=adornments.chord or note.chord,
        annotations=(*note.annotations, *adornments.annotations),
        decorations=(*note.decorations, *adornments.decorations),
    )


def _articulations(element: Element) -> tuple[str, ...]:
    names = element.get("artic").split()
    names += [name for child in element.children if child.tag == "artic" for name in child.get("artic").split()]
    return tuple(dict.fromkeys(ARTICULATIONS[name] for name in names if name in ARTICULATIONS))


def _is_tied(element: Element, controls: Controls) -> bool:
    """Whether a tie follows a note, or a note of a chord."""
    each = (element, *element.children)
    return any(one.get("tie")[:1] in ("i", "m") or (one.id and one.id in controls.ties) for one in each)


def _in_tuplets(items: Sequence[LayerItem], controls: Controls) -> Sequence[LayerItem]:
    """The items of a layer, those within a `tupletSpan` with its ratio."""
    if not controls.tuplets:
        return items
    places: Mapping[str, int] = {item.element.id: i for i, item in enumerate(items) if item.element.id}
    scaled = list(items)
    for first, last, ratio in controls.tuplets:
        if first in places and last in places:
            for i in range(places[first], places[last] + 1):
                item = scaled[i]
                scaled[i] = LayerItem(item.element, item.scale * ratio, item.grace)
    return scaled
