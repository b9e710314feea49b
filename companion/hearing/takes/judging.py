"""Judges a recording: what could not be heard apart is never told as a fault."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise

from companion.hearing.heard import HeardNote, HeardSound
from companion.hearing.takes.events import events_of
from companion.hearing.takes.kinder import OCTAVES, SHORTEST_IN_ROOM_S, SoundCover, kinder_reading, octaves_doubted
from companion.hearing.takes.tune_reading import ReadSpan, read_by_tune
from companion.hearing.takes.weighing import LengthWeighing
from companion.listen.judgement import Judgement, judge
from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.strictness import Strictness
from companion.listen.model.terms import AT_SPEED, TakeTerms
from companion.listen.verdict.verdict import Share
from companion.score.model import Tune
from companion.score.setting import Setting

ROUNDS = 3
READINGS = 2
LEAST_LONG = 120.0
KSKIP = 1.0

_OF_MELODY = frozenset(
    {
        FindingKind.WRONG_NOTE,
        FindingKind.MISSING_NOTE,
        FindingKind.EARLY,
        FindingKind.LATE,
        FindingKind.POINTING,
        FindingKind.BREAK,
        FindingKind.ORDER,
    }
)
"""What is told of a recording in which short sounds are not heard: what long notes show."""

_OF_SHORT_SOUNDS = frozenset(
    {
        FindingKind.MISSING_GRACENOTE,
        FindingKind.WRONG_GRACENOTE,
        FindingKind.EXTRA_GRACENOTE,
        FindingKind.LONG_GRACENOTE,
        FindingKind.UNEVEN,
        FindingKind.CROSSING,
    }
)

CHANGED_WITHIN_S = 0.15
"""A finding on short sounds rests on what was heard so near it: a movement's gracenotes take some 0.1 s."""

LEAST_UNEVEN_IN_ROOM_MS = 55.0
"""Gracenotes less uneven than this in a room may be even: the end of each is heard up to 20 ms late there. On trial
even ones seemed uneven by 35 ms at most; uneven ones by 45 and more."""

SURELY_LONG_MS = 100.0
LEAST_NOTE_IN_ROOM_S = 0.2
"""A melody note shorter than this between gracenotes is not surely heard in a room: on trial some of 85 ms were not, in
a tune as fast as a reel (166 ms for each as written, gracenotes and all)."""

NOT_FINE = (
    "Gracenotes and crossings: an echo, drones or noise cover them; record closer to the microphone, the chanter alone."
)


def partly_covered(count: int) -> str:
    """The sentence about so many places with short sounds that were not judged."""
    places = "1 place" if count == 1 else f"{count} places"
    return (
        f"Short sounds at {places}, which an echo, drones or noise cover; record closer to the microphone, "
        "the chanter alone."
    )


def judge_heard(
    tune: Tune,
    heard: HeardSound,
    strictness: Strictness = Strictness.USUAL,
    terms: TakeTerms = AT_SPEED,
    *,
    setting: Setting = (),
    where: str | None = None,
) -> Judgement:
    """Judge what was heard, as `companion.listen.judgement.judge` does, in the reading that is kindest where in doubt.

    Where a finding rests on what is not sure, the doubtful note is taken to have been as asked, and all is judged
    again. Under an echo, drones or noise what still rests on such a place is not told, and it is said at how many;
    where short sounds are not heard at all, the melody alone is judged. Raises UserError for what is no performance of
    the tune.
    """
    cover = SoundCover.of(heard)
    costs = heard.evidence.costs() if heard.evidence else None
    read, judgement, weighed = _read_by_tune(heard, costs, lambda notes: judge(
        tune, events_of(notes), strictness, terms, setting=setting, where=where))
    doubted = notes = octaves_doubted(read, cover)
    for _ in range(ROUNDS):
        left = [each for each in judgement.findings if not (KSKIP and any(one.holds(each.at_s) for one in weighed))]
        kinder = kinder_reading(notes, heard.maybe, left, cover)
        if kinder == notes:
            break
        again = judge(tune, events_of(kinder), strictness, terms, setting=setting, where=where)
        if len(again.findings) > len(judgement.findings):
            break
        notes, judgement = kinder, again
    changed_s, asked = _changed_s(doubted, notes), judgement.asked

    lengths = LengthWeighing(heard.evidence, costs, notes) if heard.evidence else None
    moved_s = _moved_s(heard.notes, read)

    def untold(finding: Finding) -> bool:
        if _is_covered(finding, changed_s):
            return True
        if cover.echo and lengths and _has_moved(finding, moved_s):
            return True
        if cover.echo and lengths and not finding.throughout:
            if finding.kind is FindingKind.LONG_GRACENOTE and ((finding.ms or 0) < LEAST_LONG or not lengths.is_clearly_long(finding)): return True
        if cover.echo and _is_covered_by_echo(finding, asked, weighed=any(each.holds(finding.at_s) for each in weighed), lengths=lengths is not None):
            return True
        return cover.echo and not heard.short_sounds and rests_on_gracenotes(finding, asked)

    count = sum(map(untold, judgement.findings)) if cover.other else 0
    if count:
        events = events_of(notes)
        judgement = judge(tune, events, strictness, terms, setting=setting, where=where, untold=untold)
    if not heard.short_sounds:
        return _melody_alone(judgement)
    if not count:
        return judgement
    said = (*judgement.verdict.not_judged, partly_covered(count))
    return replace(judgement, verdict=replace(judgement.verdict, not_judged=said))


def _read_by_tune(
    heard: HeardSound, costs, judged: Callable[[Sequence[HeardNote]], Judgement]
) -> tuple[list[HeardNote], Judgement, list[ReadSpan]]:
    """What was heard, read with the tune in hand where that can be weighed, how it is judged, and where that was."""
    notes, spans = list(heard.notes), list[ReadSpan]()
    judgement = judged(notes)
    if not heard.covered or heard.evidence is None:
        return notes, judgement, spans
    shortest_s = SHORTEST_IN_ROOM_S if heard.echo_s else heard.shortest_s
    for _ in range(READINGS):
        read, more = read_by_tune(notes, judgement, heard.evidence, costs, shortest_s)
        if read == notes:
            return notes, judgement, [*spans, *more]
        again = judged(read)
        if len(again.findings) > len(judgement.findings):
            break
        notes, judgement, spans = read, again, [*spans, *more]
    return notes, judgement, spans


def _changed_s(heard: Sequence[HeardNote], read: Sequence[HeardNote]) -> list[float]:
    """When those notes begin that were read otherwise than they were heard."""
    return [each.at_s for each in {*heard} ^ {*read}]


_OF_TIME = frozenset({FindingKind.EARLY, FindingKind.LATE, FindingKind.POINTING})


MOVED_WITHIN_S = 0.06


def _has_moved(finding, moved_s):
    return finding.kind in _OF_TIME and any(abs(each - finding.at_s) < MOVED_WITHIN_S for each in moved_s)


def _moved_s(heard, read):
    """When those notes begin that begin otherwise in the one than in the other."""
    out = []
    for some, others in ((heard, read), (read, heard)):
        starts = [each.at_s for each in others]
        for each in some:
            near = others[bisect_left(starts, each.at_s - 0.015):bisect_right(starts, each.at_s + 0.015)]
            if not any(one.note is each.note for one in near):
                out.append(each.at_s)
    return out


def _is_covered(finding: Finding, changed_s: Sequence[float]) -> bool:
    """Whether a finding on short sounds rests on what is not sure."""
    if finding.kind not in _OF_SHORT_SOUNDS or finding.throughout or _is_surely_long(finding):
        return False
    return any(abs(each - finding.at_s) < CHANGED_WITHIN_S for each in changed_s)


def _is_covered_by_echo(finding: Finding, asked: Asked, *, weighed: bool, lengths: bool) -> bool:
    """Whether a room's echo alone may make such a finding: it makes short notes longer or hides them."""
    if finding.throughout:
        return False
    match finding.kind:
        case FindingKind.UNEVEN:
            return (finding.ms or 0.0) < LEAST_UNEVEN_IN_ROOM_MS
        case FindingKind.MISSING_NOTE | FindingKind.WRONG_NOTE:
            return len(finding.asked) == 1 and (finding.asked in _OCTAVE_BELOW or (not weighed and _is_short(finding.played, asked)))
        case FindingKind.LONG_GRACENOTE:
            return not lengths and not _is_surely_long(finding)
        case kind:
            # On trial some were lost in an echo without a trace: no costs tell these from those not played.
            return kind is FindingKind.MISSING_GRACENOTE and not weighed


def rests_on_gracenotes(finding: Finding, asked: Asked) -> bool:
    """Whether a finding on melody needs gracenotes to be heard: how many equal notes there were in a row, or when each
    began, is told by the gracenotes between them; and where one is lost in a row, more seem to be skipped."""
    if finding.kind not in _OF_MELODY or finding.throughout:
        return False
    if finding.kind is FindingKind.MISSING_NOTE and len(finding.asked) > 1:
        return True
    ranks = [asked.note_tokens[each] for each in range(max(0, finding.played - 2), finding.played + 1)]
    notes = [None if rank is None else asked.tokens[rank].note for rank in ranks]
    return any(one is not None and one is other for one, other in pairwise(notes))


_OCTAVE_BELOW = {each.letter for each, other in OCTAVES.items() if each < other}
"""Notes that a note an octave above may hide while it rings."""


def _is_short(played: int, asked: Asked) -> bool:
    """Whether a melody note is short besides its gracenotes, by the tempo as asked."""
    rank = asked.note_tokens[played]
    return rank is not None and asked.tokens[rank].end_s - asked.tokens[rank].start_s < LEAST_NOTE_IN_ROOM_S


def _is_surely_long(finding: Finding) -> bool:
    """Whether a gracenote was as long as a melody note, which is heard under anything."""
    return finding.kind is FindingKind.LONG_GRACENOTE and (finding.ms or 0.0) >= SURELY_LONG_MS


def _melody_alone(judgement: Judgement) -> Judgement:
    """A judgement without all that short sounds alone show, which says so."""
    verdict = judgement.verdict
    return replace(
        judgement,
        findings=tuple(each for each in judgement.findings if each.kind in _OF_MELODY),
        verdict=replace(
            verdict,
            matters=tuple(each for each in verdict.matters if all(one.kind in _OF_MELODY for one in each.findings)),
            went_well=verdict.melody_well,
            gracenotes=Share(0, 0),
            movements=Share(0, 0),
            not_judged=(*verdict.not_judged, NOT_FINE),
        ),
    )
