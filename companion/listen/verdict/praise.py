"""What went well."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from companion.listen.model.findings import FindingKind
from companion.listen.rhythm.pointing import pairs
from companion.listen.verdict.gather.tempo import OFF_TIME
from companion.listen.verdict.matter.evidence import Evidence, Matter, Share
from fingering.embellishments import Family

CLEAN = 0.95
LEAST_PLACES = 2
"""An embellishment is praised, and pointing too, if the tune asked for it so often."""


def went_well(evidence: Evidence, matters: Sequence[Matter], *, melody_alone: bool = False) -> list[str]:
    """Sentences of praise, one at least. melody_alone: without what only short sounds show."""
    said = [*_notes_well(evidence)]
    said += [] if melody_alone else _fingers_well(evidence)
    said += _time_well(evidence, matters)
    said += [] if melody_alone else _good_embellishments(evidence)
    unpointed = any(each.kind is FindingKind.POINTING for each in evidence.findings)
    heard = {played for played, _ in evidence.tally.places}
    if not unpointed and len(heard & pairs(evidence.asked).keys()) >= LEAST_PLACES:
        said.append("Long notes were long and short notes short.")
    return said or ["You kept at it, and that is how a tune is learnt."]


def _notes_well(evidence: Evidence) -> Iterator[str]:
    notes = Share(evidence.tally.notes_right, evidence.tally.notes)
    if notes.of and notes.right == notes.of:
        yield "Every melody note was right."
    elif notes.share >= CLEAN:
        yield f"The melody is known: {notes.right} of {notes.of} notes were right."


def _fingers_well(evidence: Evidence) -> Iterator[str]:
    tally = evidence.tally
    gracenotes = Share(tally.gracenotes_right, tally.gracenotes)
    movements = Share(tally.movements_clean, tally.movements)
    if gracenotes.of and gracenotes.right == gracenotes.of:
        yield f"Every gracenote was there, all {gracenotes.of}." if gracenotes.of > 1 else "The gracenote was there."
    elif gracenotes.of and gracenotes.share >= CLEAN:
        yield f"The gracenotes are there: {gracenotes.right} of {gracenotes.of}."
    if movements.of and movements.right == movements.of:
        yield "The fingers moved together: no crossing noise was heard."
    elif movements.of and movements.share >= CLEAN:
        yield f"The fingers move together: {movements.right} of {movements.of} movements were clean."


def _time_well(evidence: Evidence, matters: Sequence[Matter]) -> Iterator[str]:
    pace = evidence.pace
    off = [matter for matter in matters if matter.kind in OFF_TIME]
    if pace is None or not pace.is_steady:
        return
    if evidence.metronome_bpm is None:
        yield "The tempo was steady."
    elif not off:
        yield "You stayed with the metronome."


def _good_embellishments(evidence: Evidence) -> Iterator[str]:
    """The family of embellishments most often played without a word to say."""
    faulty = {finding.played for finding in evidence.findings}
    good: Counter[Family] = Counter()
    bad: set[Family] = set()
    for played, _ in evidence.tally.places:
        each = evidence.asked.schedule.embellishments[played]
        if each is None or len(each.gracenotes) < 2 or each.family is Family.UNNAMED:
            continue
        good[each.family] += 1
        if played in faulty:
            bad.add(each.family)
    best = max((family for family in good if family not in bad), key=lambda family: good[family], default=None)
    if best is not None and good[best] >= LEAST_PLACES:
        yield f"{'Both' if good[best] == 2 else f'All {good[best]}'} {best.plural} were good."
