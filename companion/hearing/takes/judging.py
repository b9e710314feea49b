"""Judges a recording: what could not be heard apart is never told as a fault."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from companion.hearing.heard import HeardNote, HeardSound
from companion.hearing.takes.events import events_of
from companion.listen.judgement import Judgement, judge
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.strictness import Strictness
from companion.listen.model.terms import AT_SPEED, TakeTerms
from companion.listen.verdict.verdict import Share
from companion.score.model import Tune
from companion.score.setting import Setting

SURE = 0.9
"""A short note that is less sure than this is no fault by itself: its evidence is under ten nats (`telling`)."""

SHORT_S = 0.08
BEFORE_S, AFTER_S = 0.30, 0.20
"""How far from where a finding is told the sound that it rests on may lie: the gracenotes of a movement come before its
melody note by up to that."""

ROUNDS = 3

_LACKING = frozenset(
    {
        FindingKind.MISSING_GRACENOTE,
        FindingKind.MISSING_NOTE,
        FindingKind.WRONG_GRACENOTE,
        FindingKind.WRONG_NOTE,
        FindingKind.UNEVEN,
        FindingKind.LONG_GRACENOTE,
    }
)
_TOO_MUCH = frozenset(
    {
        FindingKind.EXTRA_GRACENOTE,
        FindingKind.EXTRA_NOTE,
        FindingKind.CROSSING,
        FindingKind.WRONG_GRACENOTE,
        FindingKind.RESTART,
    }
)

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
"""What is told of a recording with an echo, drones or noise in it: what long notes show."""

NOT_FINE = (
    "Gracenotes and crossings: an echo, drones or noise cover them; record closer to the microphone, the chanter alone."
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
    again. Raises UserError for what is no performance of the tune.
    """
    notes = list(heard.notes)
    judgement = judge(tune, events_of(notes), strictness, terms, setting=setting, where=where)
    for _ in range(ROUNDS):
        kinder = kinder_reading(notes, heard.maybe, judgement.findings)
        if kinder == notes:
            break
        again = judge(tune, events_of(kinder), strictness, terms, setting=setting, where=where)
        if len(again.findings) > len(judgement.findings):
            break
        notes, judgement = kinder, again
    return judgement if heard.fine else _melody_alone(judgement)


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


def kinder_reading(
    notes: Sequence[HeardNote], maybe: Sequence[HeardNote], findings: Sequence[Finding]
) -> list[HeardNote]:
    """The notes where what is doubtful near each finding is as it was asked for."""
    kept = list(notes)
    granted: set[float] = set()  # when a note begins that was taken to be as asked
    for finding in (each for each in findings if each.kind in _LACKING):
        fits = [each for each in kept if _is_near(each, finding) and finding.asked and _may_be_asked(each, finding)]
        if fits:
            nearest = min(fits, key=lambda each: abs(each.at_s - finding.at_s))
            kept = [_renamed(each, finding) if each is nearest else each for each in kept]
            granted.add(nearest.at_s)
        for each in maybe:
            if _is_near(each, finding) and _asks_for(finding, each):
                kept = _with(kept, each)
                granted.add(each.at_s)
    for finding in (each for each in findings if each.kind in _TOO_MUCH):
        left = [each for each in kept if each.at_s in granted or not (_is_near(each, finding) and _doubtful(each))]
        kept = _without(left, kept)
    return kept


def _is_near(note: HeardNote, finding: Finding) -> bool:
    return finding.at_s - BEFORE_S <= note.at_s <= finding.at_s + AFTER_S


def _may_be_asked(note: HeardNote, finding: Finding) -> bool:
    """Whether a note has another name than was asked for, and could as well have that."""
    return note.note.letter not in finding.asked and any(each.letter in finding.asked for each in note.others)


def _doubtful(note: HeardNote) -> bool:
    return note.confidence < SURE and note.length_s < SHORT_S


def _asks_for(finding: Finding, note: HeardNote) -> bool:
    return note.note.letter in finding.asked or any(each.letter in finding.asked for each in note.others)


def _renamed(note: HeardNote, finding: Finding) -> HeardNote:
    """A note by the name that was asked for, which it could as well have."""
    name = next(each for each in sorted(note.others) if each.letter in finding.asked)
    return replace(note, note=name, others=(note.others | {note.note}) - {name})


def _with(notes: Sequence[HeardNote], more: HeardNote) -> list[HeardNote]:
    """The notes with one more within one of them, if it lies wholly within and is another."""
    out: list[HeardNote] = []
    for each in notes:
        if each.at_s < more.at_s and more.stop_s < each.stop_s and each.note is not more.note:
            out += [replace(each, stop_s=more.at_s), more, replace(each, at_s=more.stop_s)]
        else:
            out.append(each)
    return out


def _without(left: Sequence[HeardNote], all_notes: Sequence[HeardNote]) -> list[HeardNote]:
    """The notes that are left, each lasting over what was taken out after it; equal ones that then touch are one."""
    out: list[HeardNote] = []
    kept = set(map(id, left))
    for each in all_notes:
        touches = bool(out) and each.at_s - out[-1].stop_s < 1e-6
        if id(each) not in kept:
            if touches:
                out[-1] = replace(out[-1], stop_s=each.stop_s)
        elif touches and out[-1].note is each.note:
            out[-1] = replace(out[-1], stop_s=each.stop_s, confidence=max(out[-1].confidence, each.confidence))
        else:
            out.append(each)
    return out
