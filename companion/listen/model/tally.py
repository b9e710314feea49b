"""What was heard of a take, counted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from companion.listen.model.findings import Finding, FindingKind

_OF_GRACENOTES = frozenset(
    {FindingKind.MISSING_GRACENOTE, FindingKind.WRONG_GRACENOTE, FindingKind.LONG_GRACENOTE, FindingKind.UNEVEN}
)


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


def without_places(tally: Tally, untold: Sequence[Finding]) -> Tally:
    """A tally that counts neither right nor wrong where these findings, which are not told, are."""
    gracenotes = sum(each.kind in _OF_GRACENOTES for each in untold)
    movements = sum(each.kind is FindingKind.CROSSING for each in untold)
    return replace(
        tally,
        gracenotes=max(tally.gracenotes_right, tally.gracenotes - gracenotes),
        movements=max(tally.movements_clean, tally.movements - movements),
    )
