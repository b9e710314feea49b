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
    bars = tuple(_with_notes(bar, doubt, doubt.others[other]) for bar in tune.bars)
    ranked: list[Bar] = []
    rank = 0
    for bar in bars:
        notes = tuple(note._replace(rank=rank + i) for i, note in enumerate(bar.notes))
        rank += len(notes)
        ranked.append(bar._replace(notes=notes))
    changed = Tune(
        **{name: getattr(tune, name) for name in Tune.__dataclass_fields__ if name != "bars"}, bars=tuple(ranked)
    )
    return read_abc_text(abc_of(changed), tune.place.source).tunes[0]


def _with_notes(bar: Bar, doubt: Doubt, notes: Sequence[MelodyNote]) -> Bar:
    places = [i for i, note in enumerate(bar.notes) if note.rank == doubt.rank]
    if not places:
        return bar
    return bar._replace(notes=(*bar.notes[: places[0]], *notes, *bar.notes[places[0] + doubt.notes :]))


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
