"""Lists the notes of a tune in the order in which they are played."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from companion.score.model import Bar, MelodyNote, Tune


@dataclass(frozen=True, slots=True)
class PlayedNote:
    """One note of the performance: the index into `Tune.order` (`turn`), the bar, and the note."""

    turn: int
    bar: Bar
    note: MelodyNote


def performance(tune: Tune, turns: range | None = None) -> tuple[PlayedNote, ...]:
    """All notes of `tune` as played; `turns` picks a stretch of `tune.order`, the whole of it by default."""
    picked: Sequence[int] = range(len(tune.order)) if turns is None else turns
    return tuple(
        PlayedNote(turn, bar, note) for turn in picked for bar in (tune.bars[tune.order[turn]],) for note in bar.notes
    )
