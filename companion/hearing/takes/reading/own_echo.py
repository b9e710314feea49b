"""Short notes that were read only because the tune asks for them, where the echo of an earlier one of their name seemed
to be them. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import takewhile

from companion.hearing.heard import HeardNote
from companion.hearing.takes.around import begun_near
from companion.hearing.takes.reading.counted import CountedEvidence
from companion.hearing.takes.reading.expected_way import SHORTEST_MOMENTS

ECHO_LASTS_S, LEAST_SOUNDED_S = 0.07, 0.04
"""An echo seems to be a note again for so long after one that lasted for the second and longer: of shorter ones, as in
a birl, those that sounded anew and those that did not were as likely."""

AGAINST_NATS = 9.0
"""A note of the shortest length that was not heard, in another and in its own echo, is that echo where it is less
likely than the other by so much. On trial (31 seeds, seven sources in rooms of 0.4 s) 25 of 43 such notes that had not
sounded were, and 5 of 284 that had."""


def without_own_echoes(
    read: Sequence[HeardNote], heard: Sequence[HeardNote], counted: CountedEvidence
) -> list[HeardNote]:
    """The notes as they were read, without those that their own echo made. heard: the notes before the tune was
    asked."""
    out: list[HeardNote] = []
    for rank, note in enumerate(read):
        after = read[rank + 1] if rank + 1 < len(read) else None
        if out and after is not None and out[-1].note is after.note and _is_echo(note, out, heard, counted):
            out[-1] = replace(out[-1], stop_s=note.stop_s)
        elif out and out[-1].note is note.note and out[-1].stop_s == note.at_s and out[-1] not in read:
            out[-1] = replace(out[-1], stop_s=note.stop_s)  # what an echo parted is one note
        else:
            out.append(note)
    return out


def _is_echo(
    note: HeardNote, before: Sequence[HeardNote], heard: Sequence[HeardNote], counted: CountedEvidence
) -> bool:
    """Whether a note within the last of those before it is the echo of an earlier one."""
    evidence = counted.evidence
    first, stop = evidence.moment(note.at_s), evidence.moment(note.stop_s)
    if stop - first > SHORTEST_MOMENTS or stop >= len(counted.changing):
        return False
    if any(heard[rank].note is note.note for rank in begun_near(heard, note.at_s, note.length_s)):
        return False
    recent = takewhile(lambda each: note.at_s - each.stop_s < ECHO_LASTS_S, reversed(before))
    if not any(each.note is note.note and each.length_s >= LEAST_SOUNDED_S for each in recent):
        return False
    part = counted.costs[first:stop]
    nearer = float((part[:, before[-1].note] - part[:, note.note]).sum())
    return nearer - float(counted.changing[first] + counted.changing[stop]) < -AGAINST_NATS
