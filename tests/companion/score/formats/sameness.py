"""What two tunes must have in common to be the same tune: everything but their places in a file."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from companion.score.abc.header.fields import read_tempo
from companion.score.abc.header.keys import read_key
from companion.score.model import Bar, MelodyNote, Tempo, Tune


def music(tune: Tune) -> dict[str, Any]:
    """What every format keeps: notes, lengths, gracenotes, metre, the order of playing, parts and phrases."""
    return {
        "bars": [_bar(bar) for bar in tune.bars],
        "order": tune.order,
        "parts": tune.parts,
        "title": tune.title,
        "composer": tune.composer,
        "rhythm": tune.rhythm,
        "meter": tune.meter,
        "plan": tune.plan,
        "reference": tune.reference,
        "tempo": tempo_words(tune.tempo),
    }


def all_told(tune: Tune) -> dict[str, Any]:
    """Everything that a tune tells, as ABC keeps it."""
    key = read_key(tune.key)
    fields = [
        (field.key, field.text)
        for field in tune.fields
        if field.key not in "mIU" and (field.key != "Q" or isinstance(read_tempo(field.text, Fraction(1, 8)), str))
    ]
    return {
        **music(tune),
        "over": [over(note) for bar in tune.bars for note in bar.notes],
        "signs": [bar.signs for bar in tune.bars],
        "key": key and (key.text, dict(key.alterations)),
        "fields": sorted(fields),
    }


def over(note: MelodyNote) -> tuple[Any, ...]:
    """What stands over a note."""
    return note.chord, note.annotations, note.decorations


def _bar(bar: Bar) -> tuple[Any, ...]:
    return (
        *(bar.number, bar.meter, bar.length, tempo_words(bar.tempo), bar.ends_phrase, bar.signs.label),
        [melody(note) for note in bar.notes],
    )


def melody(note: MelodyNote) -> tuple[Any, ...]:
    """A note with its gracenotes, their lengths relative to the shortest."""
    lengths = note.lengths_of_gracenotes()
    shortest = min(lengths, default=Fraction(1))
    relative = tuple(length / shortest for length in lengths)
    return note.rank, note.note, note.duration, note.gracenotes, relative, note.acciaccatura


def tempo_words(tempo: Tempo | None) -> tuple[Any, ...] | None:
    """A tempo, its figure to six places."""
    return None if tempo is None else (tempo.beat, round(tempo.beats_per_minute, 6), tempo.text)
