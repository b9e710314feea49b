"""What was heard, read with the tune in hand: where a finding may rest on what is not sure, the sound is gone through
once more for the asked notes. Pure."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from companion.hearing.heard import HARDLY_SURE, SILENCE, HeardNote, SoundEvidence
from companion.hearing.notes.joining import TOUCHING_S, joined
from companion.hearing.spectra import Floats
from companion.hearing.takes.reading.counted import CountedEvidence
from companion.hearing.takes.reading.expected_way import (
    SHORTEST_MELODY_MOMENTS,
    SHORTEST_MOMENTS,
    WayStep,
    expected_way,
    without_short,
)
from companion.hearing.takes.reading.kinder import SHORT_S
from companion.listen.judgement import Judgement
from companion.listen.model.asked import Token
from fingering.notes import Note

CLEAR_S = 0.15
"""A note in whose middle nothing is found for so long either way was heard right, and parts one span from the next."""

HELD_S = 0.1
"""The shortest note that is surely heard by itself."""

OTHER_NAME_NATS = 0.8
"""The price of each moment of a note by another name that it could as well have: a gracenote of 50 ms costs less in all
than one that is left out, a melody note more."""

SHORT_MELODY_S = 0.12
"""A melody note that is asked for as long besides its gracenotes may be as short as those: what takes longer than was
asked after it takes that from it. On trial (seed 2502) one of 89 ms before a taorluath lasted 13 to 23 each time."""

MOVEMENT, SHORT_BEFORE_MOVEMENT_S = 3, 0.2
"""A melody note before three gracenotes may be as short as those if it is asked for as 0.2 s or less besides them: they
take more time from it than one does."""

FIRST_TOKENS, BEGINNING_S = 4, 1.0
"""A tune was begun at its beginning where one of so many asked notes is the first that was played; what is found
within so much is at its beginning."""

MOST_TOKENS = 80
"""A span of more asked notes was not played as it was asked for at all."""


@dataclass(frozen=True, slots=True)
class ReadSpan:
    """A span that was read with the tune in hand, from s to s."""

    begins_s: float
    stops_s: float

    def holds(self, at_s: float) -> bool:
        """Whether a moment lies in it."""
        return self.begins_s <= at_s < self.stops_s


def is_in_any(at_s: float, spans: Sequence[ReadSpan]) -> bool:
    """Whether a moment lies in any of the spans."""
    return any(each.holds(at_s) for each in spans)


def with_names_in_doubt(
    costs: Floats, evidence: SoundEvidence, heard: Sequence[HeardNote], *, blurred: bool = False
) -> Floats:
    """Costs of moments by name, in which a note that could as well have another name costs little more as that: what
    only the chanter's tuning tells apart is hardly evidence of what was fingered, in a short sound. A short note that
    is hardly sure was told for want of a likelier one, and may have been any. What has the name of the note that it
    touches is another sound than that, whatever it is: but where it is blurred, in a room or clipped."""
    out = costs.copy()
    for before, each, after in zip([None, *heard], heard, [*heard[1:], None], strict=False):
        touching = set() if blurred else {one.note for one in (before, after) if one and _touch(one, each)}
        begin, stop = evidence.moment(each.at_s), evidence.moment(each.stop_s)
        may_be_any = each.confidence < HARDLY_SURE and each.length_s < SHORT_S
        likeliest = costs[begin:stop].min(axis=1) if may_be_any else costs[begin:stop, each.note]
        for other in Note if may_be_any else each.others - touching:
            out[begin:stop, other] = np.minimum(out[begin:stop, other], likeliest + np.float32(OTHER_NAME_NATS))
    return out


def _touch(one: HeardNote, other: HeardNote) -> bool:
    return min(abs(one.stop_s - other.at_s), abs(other.stop_s - one.at_s)) <= TOUCHING_S


class ExpectedReader:
    """Reads what was heard with the tune in hand; what it has gone through once it knows.

    counted: what the sound said. shortest_s: what is shorter is no note that was put in, but where one of those that
    are sure sounds.
    """

    def __init__(self, counted: CountedEvidence, shortest_s: float, sure: Sequence[HeardNote] = ()) -> None:
        self._counted, self._evidence = counted, counted.evidence
        self._sure = {
            moment for each in sure for moment in range(*map(counted.evidence.moment, (each.at_s, each.stop_s)))
        }
        self._least = round(shortest_s / counted.evidence.hop_s)
        self._known: dict[tuple[int, ...], list[HeardNote]] = {}

    def read(
        self, notes: Sequence[HeardNote], judgement: Judgement, refused: Sequence[ReadSpan] = ()
    ) -> tuple[list[HeardNote], list[ReadSpan]]:
        """The notes, read anew around what was found in them, and where they were. refused: where they are not."""
        out: list[HeardNote] = []
        spans: list[ReadSpan] = []
        rest = list(notes)
        for (begins_s, first), (stops_s, last) in _spans(notes, judgement):
            span = ReadSpan(begins_s, stops_s)
            read = [] if span in refused else self._way(begins_s, stops_s, judgement.asked.tokens[first : last + 1])
            if not read:
                continue
            opening = next(each for each in rest if each.at_s <= begins_s < each.stop_s)
            closing = next(each for each in rest if each.at_s <= stops_s < each.stop_s)
            opening = _as_read(opening, read[0].note)
            if len(read) > 1:
                ends = replace(opening, stop_s=read[0].stop_s), replace(closing, at_s=read[-1].at_s)
                read = [ends[0], *read[1:-1], ends[1]]
            else:
                read = [replace(opening, stop_s=closing.stop_s)]
            out += [each for each in rest if each.at_s < opening.at_s]
            out += read[:-1]
            rest = [read[-1], *(each for each in rest if each.at_s > closing.at_s)]
            spans.append(span)
        return out + rest, spans

    def _way(self, begins_s: float, stops_s: float, tokens: Sequence[Token]) -> list[HeardNote]:
        """The notes of a span; none where it cannot be read."""
        begin, stop = self._evidence.moment(begins_s), self._evidence.moment(stops_s)
        part, changing = self._counted.costs[begin:stop], self._counted.changing[begin:stop]
        if not 1 < len(tokens) <= MOST_TOKENS or not len(part):
            return []
        names, gracenotes = [int(each.note) for each in tokens], [not each.is_melody for each in tokens]
        shortest = [_shortest(tokens[rank : rank + MOVEMENT + 1]) for rank in range(len(tokens))]
        about = begin, stop, *names, *gracenotes, *shortest
        if about not in self._known:
            kept = {moment - begin for moment in self._sure if begin <= moment < stop}
            steps = without_short(expected_way(part, names, gracenotes, changing, shortest), part, self._least, kept)
            self._known[about] = _as_notes(steps, begin, self._evidence)
        return self._known[about]


def _as_read(note: HeardNote, name: Note) -> HeardNote:
    """A note by the name that it was read to have."""
    return note if note.note is name else replace(note, note=name, others=(note.others | {note.note}) - {name})


def _shortest(tokens: Sequence[Token]) -> int:
    """How many moments the first of some asked notes must last at least."""
    first, *after = tokens
    takes_more = len(after) == MOVEMENT and not any(each.is_melody for each in after)
    least_s = SHORT_BEFORE_MOVEMENT_S if takes_more else SHORT_MELODY_S
    may_be_short = not first.is_melody or first.end_s - first.start_s < least_s
    return SHORTEST_MOMENTS if may_be_short else SHORTEST_MELODY_MOMENTS


def _spans(notes: Sequence[HeardNote], judgement: Judgement) -> Iterator[tuple[tuple[float, int], tuple[float, int]]]:
    """Yield the spans with findings in them, between notes that were surely heard: when each of those is in its middle,
    and which asked note it is."""
    found_s = sorted(each.at_s for each in judgement.findings)
    for one, other in pairwise(_sure_places(notes, judgement, found_s)):
        if bisect_right(found_s, other[0]) > bisect_left(found_s, one[0]):
            yield one, other


def _sure_places(notes: Sequence[HeardNote], judgement: Judgement, found_s: Sequence[float]) -> list[tuple[float, int]]:
    asked, starts = judgement.asked, [each.at_s for each in notes]
    places = []
    for played, at_s in judgement.places:
        rank, at = asked.note_tokens[played], bisect_right(starts, at_s + 1e-6) - 1
        if rank is None or at < 0:
            continue
        note = notes[at]
        middle_s = 0.5 * (note.at_s + note.stop_s)
        near = bisect_right(found_s, middle_s + CLEAR_S) > bisect_right(found_s, middle_s - CLEAR_S)
        if note.note is asked.tokens[rank].note and note.length_s >= HELD_S and not near:
            places.append((middle_s, rank))
    return [*_beginning(notes, judgement, found_s), *sorted(places)]


def _beginning(notes: Sequence[HeardNote], judgement: Judgement, found_s: Sequence[float]) -> list[tuple[float, int]]:
    """When the first asked note sounds, if it may be the first that was heard, the tune was begun at its beginning, and
    something was found as soon: else what comes before the first note that was surely heard would never be read."""
    ranks = [judgement.asked.note_tokens[played] for played, _ in judgement.places]
    first = min((each for each in ranks if each is not None), default=FIRST_TOKENS)
    if first >= FIRST_TOKENS or not found_s or found_s[0] > notes[0].at_s + BEGINNING_S:
        return []
    asked = judgement.asked.tokens[0].note
    if notes[0].note is not asked and asked not in notes[0].others:
        return []
    return [(notes[0].at_s, 0)]


def _as_notes(steps: Sequence[WayStep], begin: int, evidence: SoundEvidence) -> list[HeardNote]:
    notes = [
        HeardNote(evidence.edge_s(begin + each.first), evidence.edge_s(begin + each.stop), Note(each.name))
        for each in steps
        if each.name != SILENCE
    ]
    return list(joined(notes))
