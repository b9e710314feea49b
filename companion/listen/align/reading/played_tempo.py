"""How many times slower than asked the learner plays, from one melody note to the next."""

from __future__ import annotations

from statistics import median
from typing import NamedTuple

from companion.listen.align.cost import costs
from companion.listen.align.cost.tables import Tables
from companion.listen.model.segments import Segment

SAME_RATIO = 0.03
"""Changes of tempo up to here make no difference to what is likely."""

TEMPO_NOTES = 9
TEMPO_NOTES_LEAST = 4
"""The tempo is the median over so many intervals, once there are at least so many."""

SLOWEST_RATIO, FASTEST_RATIO = 12.0, 0.08


class PlayedTempo(NamedTuple):
    """ratio: played seconds for each asked second, None before it is known. ratios: of the last intervals, the latest
    last. place, onset_s: where and when the last melody note was heard."""

    ratio: float | None = None
    ratios: tuple[float, ...] = ()
    place: int | None = None
    onset_s: float = 0.0


def tempo_after(tempo: PlayedTempo, tables: Tables, place: int, segment: Segment) -> PlayedTempo:
    """Return the tempo once a melody note was heard at a place. An interval with a stop or a leap tells nothing."""
    ratio, ratios = tempo.ratio, tempo.ratios
    if tempo.place is not None and not segment.silence_s and 0 < place - tempo.place <= costs.SKIP_TOKENS:
        asked_s = float(tables.start_s[place] - tables.start_s[tempo.place])
        if asked_s > 0.0:
            ratios = (*ratios, (segment.onset_s - tempo.onset_s) / asked_s)[-TEMPO_NOTES:]
            ratio = _changed(ratio, ratios)
    return PlayedTempo(ratio, ratios, place, segment.onset_s)


def _changed(ratio: float | None, ratios: tuple[float, ...]) -> float | None:
    if len(ratios) < TEMPO_NOTES_LEAST:
        return ratio
    middle = min(max(median(ratios), FASTEST_RATIO), SLOWEST_RATIO)
    return middle if ratio is None or abs(middle - ratio) > SAME_RATIO * ratio else ratio
