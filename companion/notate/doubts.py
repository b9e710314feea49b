"""What is unsure in a tune that was written down, and what it may be instead, for a teacher to decide."""

from __future__ import annotations

import enum
from collections.abc import Sequence
from dataclasses import dataclass

from companion.score.abc.tunebook import read_abc_text
from companion.score.formats.abc_text.writer import abc_of
from companion.score.model import Bar, MelodyNote, Tune


class DoubtKind(enum.Enum):
    """Why something is unsure: a length between two; repeats that differ; gracenotes that make no embellishment, or one
    with a slip; a crossing noise that was left out; the metre of the tune; what was not surely heard in a sound; the
    sound as a whole."""

    LENGTH = "length"
    REPEAT = "repeat"
    EMBELLISHMENT = "embellishment"
    NOISE = "noise"
    METRE = "metre"
    HEARING = "hearing"
    SOUND = "sound"


@dataclass(frozen=True, slots=True)
class Doubt:
    """An unsure place: the number of its bar, the rank of its first note in the tune and how many notes it has (none
    for the tune as a whole), in words what is unsure, and the notes that may stand there instead, likeliest first."""

    kind: DoubtKind
    bar: int
    rank: int
    notes: int
    words: str
    others: tuple[tuple[MelodyNote, ...], ...] = ()


def decided(tune: Tune, doubt: Doubt, other: int) -> Tune:
    """Return the tune with the notes of `doubt.others[other]` at the unsure place."""
    return all_decided(tune, [(doubt, other)]).tune


@dataclass(frozen=True, slots=True)
class DecidedTune:
    """A tune in which doubts were decided, and the rank that the first note of each has in it."""

    tune: Tune
    ranks: tuple[int, ...]


def all_decided(tune: Tune, choices: Sequence[tuple[Doubt, int | None]]) -> DecidedTune:
    """Return the tune with what was chosen at each of its unsure places: None for as it is written, else which other.

    Where two doubts are about one note, as of its length and its gracenotes, each changes what it is about.
    """
    bars = tune.bars
    for doubt, other in sorted(choices, key=lambda each: -each[0].rank):
        if other is not None:
            bars = tuple(_with_notes(bar, doubt, doubt.others[other], tune) for bar in bars)
    ranks = tuple(doubt.rank + _longer_before(doubt, choices) for doubt, _ in choices)
    ranked: list[Bar] = []
    rank = 0
    for bar in bars:
        notes = tuple(note._replace(rank=rank + i) for i, note in enumerate(bar.notes))
        rank += len(notes)
        ranked.append(bar._replace(notes=notes))
    changed = Tune(
        **{name: getattr(tune, name) for name in Tune.__dataclass_fields__ if name != "bars"}, bars=tuple(ranked)
    )
    return DecidedTune(read_abc_text(abc_of(changed), tune.place.source).tunes[0], ranks)


def _longer_before(doubt: Doubt, choices: Sequence[tuple[Doubt, int | None]]) -> int:
    """How many notes more than written stand before a doubt by what was chosen."""
    return sum(
        len(each.others[other]) - each.notes for each, other in choices if other is not None and each.rank < doubt.rank
    )


def _with_notes(bar: Bar, doubt: Doubt, notes: Sequence[MelodyNote], tune: Tune) -> Bar:
    places = [i for i, note in enumerate(bar.notes) if note.rank == doubt.rank]
    if not places:
        return bar
    first, stop = places[0], places[0] + doubt.notes
    if len(notes) == doubt.notes:
        written = tune.notes[doubt.rank : doubt.rank + doubt.notes]
        notes = [_changed(*each) for each in zip(bar.notes[first:stop], written, notes, strict=True)]
    return bar._replace(notes=(*bar.notes[:first], *notes, *bar.notes[stop:]))


def _changed(now: MelodyNote, written: MelodyNote, other: MelodyNote) -> MelodyNote:
    """A note with what another reading has otherwise than what is written."""
    if other.note is not written.note:
        now = now._replace(note=other.note)
    if other.duration != written.duration:
        now = now._replace(duration=other.duration)
    return now._replace(gracenotes=other.gracenotes) if other.gracenotes != written.gracenotes else now


def commented(tune: Tune, doubts: Sequence[Doubt]) -> str:
    """Return the tune as ABC, with a comment above the line of each unsure place."""
    text = abc_of(tune)
    if not doubts:
        return text
    written = read_abc_text(text).tunes[0]
    line_of = {note.rank: bar.place.line for bar in written.bars for note in bar.notes}
    first = min(line_of.values())
    comments: dict[int, list[str]] = {}
    for doubt in doubts:
        line = line_of.get(doubt.rank, first) if doubt.notes else first
        comments.setdefault(line, []).append(f"% unsure: {doubt.words}")
    lines: list[str] = []
    for number, each in enumerate(text.split("\n"), start=1):
        lines += comments.get(number, [])
        lines.append(each)
    return "\n".join(lines)
