"""What could not be judged, and why."""

from __future__ import annotations

from collections.abc import Iterator

from companion.listen.model.words import bar_phrase, bars_words
from companion.listen.verdict.matter.evidence import Evidence


def not_judged(evidence: Evidence) -> Iterator[str]:
    """What the tune does not ask for, was skipped, or was not reached."""
    asked, tally = evidence.asked, evidence.tally
    if not asked.has_gracenotes:
        yield "Gracenotes: the tune as it is written here has none."
    if tally.skipped_bars:
        skipped = bars_words(tally.skipped_bars)
        yield f"{skipped[0].upper()}{skipped[1:]}: skipped, in whole or in part."
    heard = [played for played, _ in tally.places]
    if heard:
        yield from _not_reached(evidence, min(heard), max(heard))


def _not_reached(evidence: Evidence, first: int, last: int) -> Iterator[str]:
    """Bars before the first note that was heard, and after the last one."""
    asked = evidence.asked
    sounding = [rank for rank in asked.notes if asked.played(rank).note.note is not None]
    before = [rank for rank in sounding if asked.played(rank).turn < asked.played(first).turn]
    after = [rank for rank in sounding if asked.played(rank).turn > asked.played(last).turn]
    if before:
        yield f"What comes before {bar_phrase(asked, first)}: the take begins there."
    if after:
        yield f"From {bar_phrase(asked, after[0])} on: the take ends before it."
