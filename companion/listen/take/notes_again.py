"""One note, or one and the next, begun again without a silence: at first it sounds like notes too many on one that goes
on.

They end with the gracenotes of the note itself. Where nothing is before these, what shows that it was begun again, and
not adorned twice, is a stop, a whole embellishment, or that it lasted as long as it should from the second beginning
on.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from operator import attrgetter, itemgetter
from statistics import median

from companion.listen.find.place.leaps import begun_again_from, note_again
from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind, finding_at, in_order
from companion.listen.model.words import bar_words, letters, melody_label

_EXTRA = frozenset({FindingKind.EXTRA_GRACENOTE, FindingKind.EXTRA_NOTE})

STOP_BEFORE_S = 0.4
"""What ended at most so long before the gracenotes, in s, leads to them."""

ATTEMPT_S = 3.0
"""A first attempt lasts no longer than this, in s, before the learner stops."""

TEMPO_NOTES = 8
"""How long a note should have lasted is told by the tempo of so many before it."""

CLEARLY = 1.2
"""By what factor, as a square, the time from the second beginning on must fit a note better than all of its time."""

MOST_TOLD = 48
"""A note of which more is told was not begun again: it was lost."""

IN_TIME = 1.33
NOTE_S = 0.2
LATE_BY_IT = 0.6
"""A note that had lasted its time, to a third, when a gracenote parted it, went on for NOTE_S or more (a gracenote held
that long is a note, too) and made the next one late by LATE_BY_IT of that or more was played once more (choices, no
source)."""

SOON_S = 0.15
"""How far from its beat, in s, the onset may be at which it is told that a note was off its time."""

_TIME = frozenset({FindingKind.EARLY, FindingKind.LATE, FindingKind.POINTING})


@dataclass(frozen=True, slots=True)
class _Again:
    """What is told instead of some findings; None where it is told already. is_one_note: no other was begun with it."""

    finding: Finding | None
    instead_of: list[Finding]
    is_one_note: bool = False


def tell_notes_again(
    asked: Asked, findings: Sequence[Finding], moments: Sequence[tuple[int, float]]
) -> tuple[Finding, ...]:
    """Return the findings of a take, in order of time, with each note that was begun again told as that, once.

    moments: the played notes with when their beat was taken to be, in s.
    """
    told = _all_begun_again(asked, findings, moments)
    gone = {id(each) for again in told for each in again.instead_of}
    begun = [again.finding for again in told if again.finding is not None]
    return in_order([*(each for each in findings if id(each) not in gone), *begun])


def notes_begun_again_s(
    asked: Asked, findings: Sequence[Finding], moments: Sequence[tuple[int, float]]
) -> frozenset[float]:
    """Return when single notes were begun again that are not told as that yet, in s."""
    told = _all_begun_again(asked, findings, moments)
    return frozenset(again.finding.at_s for again in told if again.finding is not None and again.is_one_note)


def _all_begun_again(asked: Asked, findings: Sequence[Finding], moments: Sequence[tuple[int, float]]) -> list[_Again]:
    by_note: dict[int, list[Finding]] = defaultdict(list)
    for each in findings:
        by_note[each.played].append(each)
    found = [
        _begun_again(asked, [*by_note[played], *by_note[played + 1]], moments, played, extras)
        for played, extras in _extras_by_note(findings)
        if len(by_note[played]) <= MOST_TOLD
    ]
    return [each for each in found if each is not None]


def _begun_again(
    asked: Asked,
    findings: Sequence[Finding],
    moments: Sequence[tuple[int, float]],
    played: int,
    extras: list[Finding],
) -> _Again | None:
    """Return what the extra notes on a played one show; None where they are just that. findings: of it and the next."""
    own = letters([note]) if (note := asked.played(played).note.note) is not None else ""
    heard, graces = "".join(each.heard for each in extras if each.heard != own), _own_gracenotes(asked, played)
    first, last = extras[0], extras[-1]
    if graces and heard == _whole(asked, played + 1, own) + graces:
        return _Again(begun_again_from(asked, played, played, last.at_s), extras)
    if heard and heard in graces and _near(findings, FindingKind.RESTART, played, first.at_s, last.at_s + ATTEMPT_S):
        return _Again(None, extras)
    attempt = _attempt(asked, first, moments)
    lasted_from_then = attempt is not None and attempt.was_begun_again
    off_time = [] if attempt is None else _off_time(findings, attempt)
    before = _whole(asked, played - 1, own)
    if before and heard == before + graces and (len(heard) > 1 or lasted_from_then):
        return _Again(begun_again_from(asked, played, played - 1, first.at_s), [*extras, *off_time])
    if heard and sorted(heard) == sorted(graces):
        stops = _near(findings, FindingKind.BREAK, played, first.at_s, last.at_s)
        whole = len(extras) > 1 and heard == graces
        if stops or whole or lasted_from_then:
            at_s = max([first.at_s, *map(_end_s, stops)])
            return _Again(note_again(asked, played, at_s), [*extras, *stops, *off_time], is_one_note=True)
    if attempt is not None and attempt.was_followed_by_another and (late := _late_by_it(off_time, attempt)):
        return _Again(_once_more(asked, first), [*extras, *late])
    stops = _stops_at_equal(asked, findings, played, last.at_s) if heard == _own_gracenotes(asked, played + 1) else []
    return _Again(note_again(asked, played + 1, _end_s(stops[0])), [*extras, *stops]) if stops else None


def _extras_by_note(findings: Sequence[Finding]) -> list[tuple[int, list[Finding]]]:
    extras = [each for each in findings if each.kind in _EXTRA]
    return [(played, list(each)) for played, each in groupby(extras, key=attrgetter("played"))]


def _own_gracenotes(asked: Asked, played: int) -> str:
    """The gracenotes of a note in ABC letters, but for those that sound like the note itself and are lost in it; none
    after the last one."""
    if played >= len(asked.schedule.played):
        return ""
    note = asked.played(played).note
    return letters([each for each in note.gracenotes if each is not note.note])


def _whole(asked: Asked, played: int, own: str) -> str:
    """A played note and its gracenotes in ABC letters, but for those that sound like a note that goes on, `own`; none
    before the first note or after the last one."""
    if not 0 <= played < len(asked.schedule.played):
        return ""
    note = asked.played(played).note
    return letters([*note.gracenotes, *([] if note.note is None else [note.note])]).replace(own or " ", "")


def _near(findings: Sequence[Finding], kind: FindingKind, played: int, from_s: float, to_s: float) -> list[Finding]:
    """What of a kind was told of a played note and ended between two moments, or soon before them."""
    return [
        each
        for each in findings
        if each.kind is kind and each.played == played and from_s - STOP_BEFORE_S <= _end_s(each) <= to_s
    ]


def _stops_at_equal(asked: Asked, findings: Sequence[Finding], played: int, from_s: float) -> list[Finding]:
    """Stops before the next note, an equal one, that came soon after: then that was begun before and again after.
    None after the last note."""
    following = played + 1
    is_last = following == len(asked.schedule.played)
    if is_last or asked.played(played).note.note is not asked.played(following).note.note:
        return []
    stops = [each for each in findings if each.kind is FindingKind.BREAK and each.played == following]
    return [each for each in stops if from_s < each.at_s <= from_s + ATTEMPT_S][:1]


def _end_s(finding: Finding) -> float:
    """When a stop was over; of all else when it was heard."""
    return finding.at_s + ((finding.ms or 0.0) / 1000.0 if finding.kind is FindingKind.BREAK else 0.0)


def _off_time(findings: Sequence[Finding], attempt: _Attempt) -> list[Finding]:
    """What was told of the time of the note and of the next one: by that of a first attempt it tells nothing."""
    return [
        each
        for each in findings
        if each.kind in _TIME
        and each.played in (attempt.played, attempt.played + 1)
        and attempt.begun_s - SOON_S <= each.at_s <= attempt.next_s + SOON_S
    ]


def _late_by_it(off_time: Sequence[Finding], attempt: _Attempt) -> list[Finding]:
    """What was told of the next note: that it was late by about as much as what followed the note lasted."""
    least_ms = 1000.0 * LATE_BY_IT * (attempt.next_s - attempt.again_s)
    return [
        each
        for each in off_time
        if each.kind is FindingKind.LATE and each.played == attempt.played + 1 and (each.ms or 0.0) >= least_ms
    ]


def _once_more(asked: Asked, extra: Finding) -> Finding:
    """Return that a note was played twice where it is written once: `extra` parted the two."""
    note = asked.played(extra.played).note.note
    letter = letters([note]) if note is not None else ""
    label = melody_label(asked, extra.played)
    text = f"{bar_words(asked, extra.played)}: {label} was played once more than is written."
    cause = (FindingKind.EXTRA_NOTE, extra.played)
    kind, place = FindingKind.EXTRA_NOTE, f"the second {label}"
    return finding_at(asked, extra.played, kind, at_s=extra.at_s, heard=letter, text=text, place=place, cause=cause)


@dataclass(frozen=True, slots=True)
class _Attempt:
    """The first attempt at a played note: when it was begun, when it was begun again, and when the next one was, in s.

    due_s: how long the note should have lasted at the tempo of those before it, in s.
    """

    played: int
    begun_s: float
    again_s: float
    next_s: float
    due_s: float

    @property
    def was_begun_again(self) -> bool:
        """Whether the note lasted as long as it should from the second beginning on, rather than from the first."""
        both_s2 = (self.next_s - self.begun_s) * (self.next_s - self.again_s)
        return both_s2 > CLEARLY * self.due_s**2

    @property
    def was_followed_by_another(self) -> bool:
        """Whether the note had lasted as long as it should when it was parted, and went on for as long as a note."""
        lasted_s = self.again_s - self.begun_s
        in_time = self.due_s < IN_TIME * lasted_s and lasted_s < IN_TIME * self.due_s
        return in_time and self.next_s - self.again_s >= NOTE_S


def _attempt(asked: Asked, extra: Finding, moments: Sequence[tuple[int, float]]) -> _Attempt | None:
    """Return the first attempt at the note before an extra one; None where the next note was not heard after it."""
    rank = bisect_right(moments, extra.at_s, key=itemgetter(1)) - 1
    if rank < 1 or rank + 1 >= len(moments) or moments[rank][0] != extra.played:
        return None
    (played, begun_s), (following, next_s) = moments[rank], moments[rank + 1]
    at_s = asked.schedule.note_onsets_s
    ratios = [
        (two_s - one_s) / (at_s[two] - at_s[one])
        for (one, one_s), (two, two_s) in pairwise(moments[max(0, rank - TEMPO_NOTES) : rank + 1])
        if two == one + 1 and two_s > one_s
    ]
    if not ratios or following != played + 1:
        return None
    due_s = median(ratios) * (at_s[following] - at_s[played])
    return _Attempt(played, begun_s, extra.at_s, next_s, due_s)
