"""Where another reading only changes one finding for another; takes kindness back there. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher

from companion.hearing.heard import HeardNote
from companion.hearing.takes.reading.kinder import AFTER_S, BEFORE_S
from companion.hearing.takes.reading.tune_reading import ReadSpan, is_in_any
from companion.hearing.takes.times_known import OF_TIME
from companion.listen.model.findings import Finding, FindingKind

WITHIN_S = BEFORE_S + AFTER_S
"""How far from where a finding is told the kindness lies that made it, at most."""


_OUT_OF_TIME = frozenset({FindingKind.EARLY, FindingKind.LATE})
_BY_THE_PLAYER = frozenset({*OF_TIME, FindingKind.UNEVEN, FindingKind.LONG_GRACENOTE})
"""What is told of notes off their time; and what is told by how the player's notes usually are."""


def is_out_of_place(before: Sequence[Finding], after: Sequence[Finding]) -> bool:
    """Whether in a span that was read anew as much is found as before, or more of notes' times alone, but where a
    gracenote was missing a note is out of time: so far from its place was the gracenote put."""
    if len(before) > len(after):
        return False
    known, left = ({(each.kind, each.played) for each in findings} for findings in (before, after))
    lost, made = ({kind for kind, _ in each} for each in (known - left, left - known))
    of_time = made <= OF_TIME or len(before) == len(after)
    return FindingKind.MISSING_GRACENOTE in lost and bool(made & _OUT_OF_TIME) and of_time


def found_elsewhere(before: Sequence[Finding], after: Sequence[Finding], spans: Sequence[ReadSpan]) -> list[Finding]:
    """What is found since some spans were read anew, outside all of them, for how long and when the player's notes
    usually are is known otherwise: that says nothing against what was read. It is weighed in its turn."""
    known = {(each.kind, each.played) for each in before}
    return [
        each
        for each in after
        if each.kind in _BY_THE_PLAYER
        and (each.kind, each.played) not in known
        and not each.throughout
        and not is_in_any(each.at_s, spans)
    ]


def exchanged_s(read: Sequence[Finding], kind: Sequence[Finding]) -> list[float]:
    """When findings are told that kindness alone made, beside the noise of a crossing that it took away.

    read: what was found before; kind: what is found since.
    """
    found, left = ({(each.kind, each.played) for each in findings} for findings in (read, kind))
    lost_s = [each.at_s for each in read if each.kind is FindingKind.CROSSING and (each.kind, each.played) not in left]
    made_s = [each.at_s for each in kind if (each.kind, each.played) not in found]
    return [each for each in made_s if any(abs(each - other) < WITHIN_S for other in lost_s)]


def taken_back(read: Sequence[HeardNote], kind: Sequence[HeardNote], made_s: Sequence[float]) -> list[HeardNote]:
    """The notes as they were taken to be, but around some moments as they were read.

    kind: the notes as they were taken to be. made_s: when findings are told that kindness alone made.
    """
    return [each for part in _parts(read, kind, made_s) for each in part]


def _parts(
    read: Sequence[HeardNote], kind: Sequence[HeardNote], made_s: Sequence[float]
) -> Iterator[Sequence[HeardNote]]:
    matcher = SequenceMatcher(None, read, kind, autojunk=False)
    for tag, first, stop, first_kind, stop_kind in matcher.get_opcodes():
        of_read, of_kind = read[first:stop], kind[first_kind:stop_kind]
        if tag == "equal":
            yield of_kind
            continue
        times_s = [each.at_s for each in (*of_read, *of_kind)]
        near = any(abs(each - at_s) < WITHIN_S for each in made_s for at_s in times_s)
        yield of_read if near else of_kind
