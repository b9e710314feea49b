"""What was heard of a take, counted."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Tally:
    """How many of each sort were played as asked (`..._right`, `..._clean`), of how many that could have been.

    notes: melody notes. movements: from one asked note to another. heard_notes: all that sounded. extras: those that
    were neither asked for nor noises of a crossing. leaps: how often the learner went back or skipped a stretch.
    skipped_bars: the numbers of the bars skipped. places: the played notes that began to sound, with their onsets in s.
    """

    notes: int = 0
    notes_right: int = 0
    gracenotes: int = 0
    gracenotes_right: int = 0
    movements: int = 0
    movements_clean: int = 0
    heard_notes: int = 0
    extras: int = 0
    leaps: int = 0
    skipped_bars: tuple[int, ...] = ()
    places: tuple[tuple[int, float], ...] = ()
