"""Judges a recording: what could not be heard apart is never told as a fault."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from companion.files.lines import one_line
from companion.hearing.files.sound_file import open_sound
from companion.hearing.hear import hear
from companion.hearing.heard import HeardNote, HeardSound
from companion.hearing.takes.events import events_of
from companion.listen.judgement import Judgement, judge
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.strictness import Strictness
from companion.listen.model.terms import AT_SPEED, TakeTerms
from companion.listen.verdict.verdict import Share
from companion.score.model import Tune
from companion.score.setting import Setting
from fingering.errors import UserError

SOUND_ENDINGS = frozenset(
    [
        ".wav",
        ".wave",
        ".flac",
        ".ogg",
        ".oga",
        ".opus",
        ".mp3",
        ".m4a",
        ".m4b",
        ".aac",
        ".aif",
        ".aiff",
        ".caf",
        ".au",
        ".wma",
        ".amr",
        ".3gp",
        ".mp4",
        ".m4v",
        ".mov",
        ".mkv",
        ".webm",
        ".avi",
    ]
)
"""By these endings a take is taken for a recording."""

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


def is_recording(path: str | Path) -> bool:
    """Whether a take is a recording, by its name."""
    return Path(path).suffix.lower() in SOUND_ENDINGS


def hear_recording(path: str | Path, progress: Callable[[float], None] = lambda share: None) -> HeardSound:
    """What is heard in a file. Raises UserError, with the file's name, for what is no recording of a chanter."""
    try:
        return hear(open_sound(Path(path)), progress)
    except UserError as error:
        raise UserError(error.what, error.remedy, error.where or one_line(str(path))) from None


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
    for finding in findings:
        first_s, last_s = finding.at_s - BEFORE_S, finding.at_s + AFTER_S
        if finding.kind in _LACKING:
            kept = [_renamed(each, finding) if first_s <= each.at_s <= last_s else each for each in kept]
            for each in maybe:
                if first_s <= each.at_s <= last_s and _asks_for(finding, each):
                    kept = _with(kept, each)
        if finding.kind in _TOO_MUCH:
            kept = _without([each for each in kept if not (first_s <= each.at_s <= last_s and _doubtful(each))], kept)
    return kept


def _doubtful(note: HeardNote) -> bool:
    return note.confidence < SURE and note.length_s < SHORT_S


def _asks_for(finding: Finding, note: HeardNote) -> bool:
    return note.note.letter in finding.asked or any(each.letter in finding.asked for each in note.others)


def _renamed(note: HeardNote, finding: Finding) -> HeardNote:
    """A note by the name that was asked for, where it could as well have been that."""
    if note.note.letter in finding.asked:
        return note
    fits = [each for each in note.others if each.letter in finding.asked]
    return replace(note, note=fits[0], others=(note.others | {note.note}) - {fits[0]}) if fits else note


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
