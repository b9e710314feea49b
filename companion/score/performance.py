"""Lists the notes of a tune in the order in which they are played."""

from __future__ import annotations

from dataclasses import dataclass

from companion.score.model import Bar, MelodyNote, Tune


@dataclass(frozen=True, slots=True)
class PlayedNote:
    """One note of the performance: the index into `Tune.order` (`turn`), the bar, and the note."""

    turn: int
    bar: Bar
    note: MelodyNote


def performance(tune: Tune) -> tuple[PlayedNote, ...]:
    """All notes of `tune` as played."""
    return tuple(
        PlayedNote(turn, bar, note)
        for turn, index in enumerate(tune.order)
        for bar in (tune.bars[index],)
        for note in bar.notes
    )
