"""Writes what stands over and under a bar as MusicXML: parts, tempo, chords, words, jumps."""

from __future__ import annotations

from fractions import Fraction
from xml.etree.ElementTree import Element, SubElement

from companion.score.formats.musicxml_out.words import JUMPS, chord_parts, type_of
from companion.score.model import MelodyNote, Tempo
from companion.score.staff.values import value_of

_CROTCHET = Fraction(1, 4)
_ANNOTATION_MARKS = "^_<>@"


def add_label(measure: Element, label: str) -> None:
    """Write the label of a part."""
    SubElement(_kind(measure, "above"), "rehearsal").text = label


def add_tempo(measure: Element, tempo: Tempo) -> None:
    """Write a tempo: its words, its figure where a note stands for its beat, and how fast it is to be played."""
    direction = SubElement(measure, "direction", placement="above")
    value = value_of(tempo.beat)
    if tempo.text or value is None:
        words = tempo.text or f"{tempo.beats_per_minute:g} beats a minute"
        SubElement(SubElement(direction, "direction-type"), "words").text = words
    if value is not None:
        metronome = SubElement(SubElement(direction, "direction-type"), "metronome")
        SubElement(metronome, "beat-unit").text = type_of(value)
        for _ in range(value.dots):
            SubElement(metronome, "beat-unit-dot")
        SubElement(metronome, "per-minute").text = _figure(tempo.beats_per_minute)
    per_minute = tempo.beats_per_minute * float(tempo.beat / _CROTCHET)
    SubElement(direction, "sound", tempo=_figure(per_minute))


def add_words(measure: Element, note: MelodyNote) -> None:
    """Write the chord and the annotations over a note."""
    if note.chord:
        _add_chord(measure, note.chord)
    for annotation in note.annotations:
        below = annotation.startswith("_")
        text = annotation[1:] if annotation[:1] in _ANNOTATION_MARKS else annotation
        SubElement(_kind(measure, "below" if below else "above"), "words").text = text


def add_jump(measure: Element, jump: str) -> None:
    """Write the words that send the player elsewhere, and what a program follows."""
    words, sound = JUMPS.get(jump, (jump, ""))
    direction = SubElement(measure, "direction", placement="below")
    SubElement(SubElement(direction, "direction-type"), "words").text = words
    if sound:
        SubElement(direction, "sound", {sound: "yes"})


def _kind(measure: Element, placement: str) -> Element:
    return SubElement(SubElement(measure, "direction", placement=placement), "direction-type")


def _add_chord(measure: Element, text: str) -> None:
    """Write a chord's name; one that is no chord by its letters is written as words."""
    parts = chord_parts(text)
    if parts is None:
        SubElement(_kind(measure, "above"), "words").text = text
        return
    root, root_alter, kind, kind_text, bass, bass_alter = parts
    harmony = SubElement(measure, "harmony", placement="above")
    _add_step(harmony, "root", root, root_alter)
    SubElement(harmony, "kind", {"text": kind_text}).text = kind
    if bass:
        _add_step(harmony, "bass", bass, bass_alter)


def _add_step(harmony: Element, name: str, step: str, alter: str) -> None:
    element = SubElement(harmony, name)
    SubElement(element, f"{name}-step").text = step
    if alter:
        SubElement(element, f"{name}-alter").text = alter


def _figure(number: float) -> str:
    return f"{number:.6f}".rstrip("0").rstrip(".")
