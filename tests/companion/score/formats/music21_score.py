"""Our tunes as scores of music21, which writes MusicXML in its own way."""

from __future__ import annotations

from fractions import Fraction
from types import ModuleType
from typing import Any

from companion.score.engrave.mei_bars import ends_ending
from companion.score.model import Bar, MelodyNote, Tune
from companion.score.staff.model import StaffNote, StaffTuplet, notes_of
from companion.score.staff.spell import staff_of
from fingering.notes import Note

Heard = tuple[list[int], int | None, Fraction]
"""The MIDI notes of the gracenotes, that of the note (None for a rest), its length in crotchets."""


def score_of(tune: Tune, m21: ModuleType) -> Any:
    """The tune as a music21 score of one part, with its repeats and endings."""
    part = m21.stream.Part()
    for bar in staff_of(tune):
        measure = m21.stream.Measure(number=bar.bar.number)
        _add_beginning(measure, bar.bar, tune.bars[bar.index - 1] if bar.index else None, m21)
        for item in bar.items:
            ratio = item.ratio if isinstance(item, StaffTuplet) else None
            for note in notes_of(item):
                for grace in note.graces:
                    measure.append(m21.note.Note(grace.note.midi, quarterLength=0.125).getGrace())
                measure.append(_sounding(note, ratio, m21))
        missing = 4 * ((bar.bar.meter.bar_length or bar.bar.length) - bar.bar.length)
        if missing:  # or music21 fills it with rests
            measure.paddingLeft, measure.paddingRight = (missing, 0) if bar.pick_up else (0, missing)
        if bar.bar.signs.closes:
            measure.rightBarline = m21.bar.Repeat(direction="end", times=bar.bar.signs.closes)
        part.append(measure)
    _add_endings(part, tune, m21)
    score = m21.stream.Score()
    score.insert(0, m21.metadata.Metadata(title=tune.title, composer=tune.composer))
    score.insert(0, part)
    return score


def _add_beginning(measure: Any, bar: Bar, before: Bar | None, m21: ModuleType) -> None:
    if before is None:
        measure.append(m21.key.KeySignature(2))
    if before is None or before.meter != bar.meter:
        measure.append(m21.meter.TimeSignature(f"{bar.meter.beats}/{bar.meter.unit}"))
    if bar.signs.opens:
        measure.leftBarline = m21.bar.Repeat(direction="start")


def _sounding(note: StaffNote, ratio: Any, m21: ModuleType) -> Any:
    quarters = note.value.length * 4
    written = m21.note.Rest() if note.note is None else m21.note.Note(note.note.midi)
    written.duration = m21.duration.Duration(quarters)
    if ratio is not None:
        written.duration.appendTuplet(m21.duration.Tuplet(ratio.actual, ratio.normal))
    if note.tied_on or note.tied_in:
        kind = {(False, True): "start", (True, True): "continue", (True, False): "stop"}[note.tied_in, note.tied_on]
        written.tie = m21.tie.Tie(kind)
    return written


def _add_endings(part: Any, tune: Tune, m21: ModuleType) -> None:
    measures = list(part.getElementsByClass("Measure"))
    first: int | None = None
    for i, bar in enumerate(tune.bars):
        first = i if bar.signs.ending else first
        if first is not None and ends_ending(tune, i):
            number = ",".join(map(str, tune.bars[first].signs.ending))
            part.insert(0, m21.spanner.RepeatBracket(measures[first : i + 1], number=number))
            first = None


def heard_by(score: Any) -> list[Heard]:
    """The notes of a music21 score as written, tied ones joined."""
    graces: list[int] = []
    found: list[Heard] = []
    for note in score.flatten().notesAndRests:
        if note.duration.isGrace:
            graces.append(note.pitch.midi)
            continue
        length = Fraction(note.duration.quarterLength).limit_denominator(10_000)
        if note.isNote and note.tie is not None and note.tie.type in ("stop", "continue"):
            before = found[-1]
            found[-1] = before[0], before[1], before[2] + length
            continue
        found.append((graces, note.pitch.midi if note.isNote else None, length))
        graces = []
    return found


def heard_in(tune: Tune) -> list[Heard]:
    """The same of a tune of ours."""
    return [_heard(note) for bar in tune.bars for note in bar.notes]


def _heard(note: MelodyNote) -> Heard:
    return [grace.midi for grace in note.gracenotes], _midi(note.note), note.duration * 4


def _midi(note: Note | None) -> int | None:
    return None if note is None else note.midi
