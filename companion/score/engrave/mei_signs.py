"""Signs and words over and under the notes of a bar as MEI: tempo, part letters, phrase marks, chords, jumps."""

from __future__ import annotations

from fractions import Fraction
from types import MappingProxyType
from xml.etree.ElementTree import Element, SubElement

from companion.score.engrave.style import StaffStyle
from companion.score.engrave.tempo_signs import CROTCHET, MINIM, QUAVER
from companion.score.model import Tempo, Tune
from companion.score.staff.model import StaffBar, StaffNote
from companion.score.staff.values import NoteValue, value_of

_STAFF = MappingProxyType({"staff": "1"})
# At the left end of a bar, over its metre if one is printed: clear of the gracenotes onto its first note.
_AT_BAR_LINE = MappingProxyType({"tstamp": "0"})
_JUMPS = MappingProxyType(
    {"fine": "Fine", "D.C.": "D.C.", "dacapo": "D.C.", "D.C.alfine": "D.C. al Fine", "D.S.": "D.S.",
     "D.S.alfine": "D.S. al Fine", "D.C.alcoda": "D.C. al Coda", "D.S.alcoda": "D.S. al Coda", "dacoda": "to Coda"}
)  # fmt: skip
_SIGNS = MappingProxyType({2: MINIM, 4: CROTCHET, 8: QUAVER})


def add_signs(measure: Element, bar: StaffBar, tune: Tune, style: StaffStyle) -> None:
    """Write what stands over and under a bar into its `measure` element."""
    signs = bar.bar.signs
    if signs.label is not None:
        SubElement(measure, "reh", {**_STAFF, **_AT_BAR_LINE, "place": "above"}).text = signs.label
    if style.tempo and _tempo_begins(bar, tune) and bar.bar.tempo is not None:
        _add_tempo(measure, bar.bar.tempo)
    for note in bar.notes:
        if not note.tied_in:
            _add_words(measure, note)
    last = bar.notes[-1] if bar.notes else None
    if style.phrase_marks and bar.bar.ends_phrase and last is not None:
        SubElement(measure, "breath", {**_STAFF, "startid": f"#{last.id}", "type": "phrase"})
    if signs.closes > 2:
        SubElement(
            measure, "dir", {**_STAFF, **_at(last), "type": "passes", "place": "above"}
        ).text = f"{signs.closes}×"
    for jump in signs.jumps:
        SubElement(measure, "dir", {**_STAFF, **_at(last), "type": "jump", "place": "below"}).text = _JUMPS.get(
            jump, jump
        )


def _tempo_begins(bar: StaffBar, tune: Tune) -> bool:
    before = tune.bars[bar.index - 1].tempo if bar.index else None
    return bar.bar.tempo != before


def _add_tempo(measure: Element, tempo: Tempo) -> None:
    value = value_of(tempo.beat)
    per_minute = float(tempo.beat / Fraction(1, 4)) * tempo.beats_per_minute
    written = {**_STAFF, **_AT_BAR_LINE, "place": "above", "midi.bpm": f"{per_minute:g}"}
    if value is not None:
        written |= {"mm": f"{tempo.beats_per_minute:g}", "mm.unit": str(value.base)}
        if value.dots:
            written["mm.dots"] = str(value.dots)
    SubElement(measure, "tempo", written).text = _in_words(tempo, value)


def _in_words(tempo: Tempo, value: NoteValue | None) -> str:
    """A tempo as it is printed: "♩. = 60, slowly"."""
    sign = _SIGNS.get(value.base) if value is not None and value.dots < 2 else None
    if value is None or sign is None:
        return tempo.text or f"{tempo.beats_per_minute:g} beats a minute"
    figure = f"{sign}{'.' * value.dots} = {tempo.beats_per_minute:g}"
    return f"{figure}, {tempo.text}" if tempo.text else figure


def _add_words(measure: Element, note: StaffNote) -> None:
    at, source = {**_STAFF, "startid": f"#{note.id}"}, note.source
    if source.chord:
        SubElement(measure, "harm", {**at, "place": "above"}).text = source.chord
    for words in source.annotations:
        below = words.startswith("_")
        text = words[1:] if words[:1] in "^_<>@" else words
        SubElement(measure, "dir", {**at, "place": "below" if below else "above", "type": "annotation"}).text = text
    if "fermata" in source.decorations or "H" in source.decorations:
        SubElement(measure, "fermata", {**at, "place": "above"})
    if "trill" in source.decorations or "T" in source.decorations:
        SubElement(measure, "trill", {**at, "place": "above"})


def _at(note: StaffNote | None) -> dict[str, str]:
    return {"startid": f"#{note.id}"} if note is not None else {"tstamp": "1"}
