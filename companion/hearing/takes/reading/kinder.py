"""What was heard, read most kindly: what is doubtful near a finding is taken to be as it was asked for. Pure."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from companion.hearing.heard import FINE_NOISE_DB, HeardNote, HeardSound
from companion.hearing.notes.joining import TOUCHING_S, joined, touch
from companion.listen.model.findings import Finding, FindingKind
from fingering.notes import Note

SURE = 0.9
"""A short note that is less sure than this is no fault by itself: its evidence is under ten nats (`telling`)."""

HARDLY_SURE = 0.6
"""A short note that is less sure than this was told for want of a likelier one, such as a veiled gracenote under
drones: it may have been any."""

UNSURE = 0.5
SHORT_S = 0.08
GRACENOTE_S = 0.035
"""How long a gracenote is taken to have been that was covered by other sound before a first note."""

REST_S = 0.03
"""What is left of a note after a gracenote that may have sounded in it, and is shorter, was that gracenote still."""

BEFORE_S, AFTER_S = 0.30, 0.20
"""How far from where a finding is told the sound that it rests on may lie: the gracenotes of a movement come before its
melody note by up to that."""

ECHO_LASTS_S = 0.15
"""How long after its end a note's echo may still seem to be a short note, once what came between fades too."""

SHORTEST_IN_ROOM_S = 0.022
"""What is shorter than this in a room is no fault by itself: on trial echoes seemed to be notes of 17 to 20 ms, true
extra gracenotes were heard for 22 ms and more."""

GAP_IN_ROOM_S = 0.15
"""A silence this short within a note is none in a room, whose echo and note may cancel each other for a while."""


@dataclass(frozen=True, slots=True)
class SoundCover:
    """What covers short sounds. other: drones, noise or talk, or an echo. echo: whether it is an echo. noise: whether
    it is loud noise or talk. overstates: whether the evidence says more than it knows."""

    other: bool = False
    echo: bool = False
    noise: bool = False
    overstates: bool = False

    @classmethod
    def of(cls, heard: HeardSound) -> SoundCover:
        """What covers the short sounds of what was heard."""
        noise = heard.noise_db > FINE_NOISE_DB and not (heard.drones or heard.echo_s)
        return cls(heard.covered, heard.echo_s > 0.0, noise, heard.overstates)


CLEAR = SoundCover()

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
_STOPPED = frozenset({FindingKind.RESTART, FindingKind.BREAK})


def kinder_reading(
    notes: Sequence[HeardNote],
    maybe: Sequence[HeardNote],
    findings: Sequence[Finding],
    cover: SoundCover = CLEAR,
    sure: Sequence[HeardNote] = (),
) -> list[HeardNote]:
    """The notes where what is doubtful near each finding is as it was asked for. sure: short ones that are not
    doubtful."""
    kept = list(notes)
    granted: set[float] = set()  # when a note begins that was taken to be as asked
    for finding in (each for each in findings if each.kind in _LACKING and each.asked):
        fits = [each for each in kept if _is_near(each, finding) and _may_be_asked(each, finding)]
        if fits:
            nearest = min(fits, key=lambda each: abs(each.at_s - finding.at_s))
            at = kept.index(nearest)
            beside = {each.note for each in kept[max(0, at - 1) : at + 2] if each is not nearest}
            kept[at] = _renamed(nearest, finding, beside)
            granted.add(nearest.at_s)
        for each in _likeliest(maybe, finding):
            kept = _with(kept, each)
            granted.add(each.at_s)
        veiled = _veiled(kept, finding, cover)
        if veiled is not None:
            kept = sorted([*kept, veiled], key=lambda each: each.at_s)
            granted.add(veiled.at_s)
    for finding in (each for each in findings if each.kind in _TOO_MUCH):
        doubtful = _doubtful_near(kept, finding, cover) - {each.at_s for each in kept if is_among(each, sure)}
        left = [each for each in kept if each.at_s in granted or each.at_s not in doubtful]
        kept = _without(left, kept)
    if cover.echo:
        for finding in (each for each in findings if each.kind in _STOPPED):
            kept = _without_gaps(kept, finding)
    return kept


def is_among(note: HeardNote, some: Sequence[HeardNote]) -> bool:
    """Whether a note is one of some, by its name and time."""
    return any(each.note is note.note and each.at_s < note.stop_s and note.at_s < each.stop_s for each in some)


def _is_near(note: HeardNote, finding: Finding) -> bool:
    return finding.at_s - BEFORE_S <= note.at_s <= finding.at_s + AFTER_S


def _may_be_asked(note: HeardNote, finding: Finding) -> bool:
    """Whether a note has another name than was asked for, and could as well have that."""
    if note.note.letter in finding.asked:
        return False
    hardly_sure = note.confidence < HARDLY_SURE and note.length_s < SHORT_S
    return hardly_sure or any(each.letter in finding.asked for each in note.others)


def _asks_for(finding: Finding, note: HeardNote) -> bool:
    return note.note.letter in finding.asked or any(each.letter in finding.asked for each in note.others)


def _likeliest(maybe: Sequence[HeardNote], finding: Finding) -> list[HeardNote]:
    """Of what may have sounded near a finding the likeliest of each name that was asked for, in order of time."""
    best: dict[Note, HeardNote] = {}
    for each in maybe:
        if _is_near(each, finding) and _asks_for(finding, each):
            known = best.get(each.note)
            if known is None or known.confidence < each.confidence:
                best[each.note] = each
    return sorted(best.values(), key=lambda each: each.at_s)


def _veiled(notes: Sequence[HeardNote], finding: Finding, cover: SoundCover) -> HeardNote | None:
    """The gracenote that was asked for, where silence was heard before a note: a chanter never stops between notes for
    so short a time, but a veiled gracenote may be too soft to be known, and under other sound a first one is."""
    name = next((each for each in Note if each.letter in finding.asked), None)
    if finding.kind is not FindingKind.MISSING_GRACENOTE or name is None:
        return None
    for before, after in pairwise([None, *notes]):
        if after is None or abs(after.at_s - finding.at_s) > SHORT_S or after.note is name:
            continue
        gap_s = after.at_s - before.stop_s if before else after.at_s
        if TOUCHING_S < gap_s < SHORT_S and before and before.note is not name:
            return HeardNote(before.stop_s, after.at_s, name, UNSURE)
        if gap_s >= SHORT_S and cover.other:
            return HeardNote(after.at_s - GRACENOTE_S, after.at_s, name, UNSURE)
    return None


def _doubtful_near(notes: Sequence[HeardNote], finding: Finding, cover: SoundCover) -> set[float]:
    """When those short notes begin that a finding may tell of, and that may not have been there; an echo between two
    pieces of a note makes the first one too much."""
    found = set()
    for rank, each in enumerate(notes):
        if not _is_near(each, finding) or each.length_s >= SHORT_S:
            continue
        may_be_echo = cover.echo and _may_be_echo(each, notes[:rank])
        doubtful = _parts(notes[rank - 1 : rank + 2]) and (may_be_echo or _may_be_none(each, notes[rank - 1]))
        if each.note.letter in finding.heard or not finding.heard:
            doubtful |= may_be_echo or each.confidence < SURE
            doubtful |= cover.other and _stops(each, notes[rank + 1 : rank + 2])
            doubtful |= cover.echo and each.length_s < SHORTEST_IN_ROOM_S
        if doubtful:
            found.add(each.at_s)
    return found


def _stops(note: HeardNote, after: Sequence[HeardNote]) -> bool:
    """Whether silence follows a short note: neither a gracenote nor the noise of a crossing ends so."""
    return not after or after[0].at_s - note.stop_s > TOUCHING_S


def _parts(notes: Sequence[HeardNote]) -> bool:
    """Whether the second of three notes parts one that would else have sounded on."""
    return len(notes) == 3 and notes[0].note is notes[2].note and notes[2].at_s - notes[1].stop_s <= TOUCHING_S


def _may_be_none(note: HeardNote, around: HeardNote) -> bool:
    """Whether a note within another is hardly sure, and may as well be that one."""
    return note.confidence < HARDLY_SURE and around.note in note.others


def _may_be_echo(note: HeardNote, before: Sequence[HeardNote]) -> bool:
    """Whether a note of its name, not the one just before, ended so shortly before that its echo may still sound."""
    return any(each.note is note.note and note.at_s - each.stop_s < ECHO_LASTS_S for each in before[-3:-1])


def _without_gaps(notes: Sequence[HeardNote], finding: Finding) -> list[HeardNote]:
    """The notes, those of one name near a finding joined over a short silence."""

    def sounds_on(held: HeardNote, after: HeardNote) -> bool:
        return _is_near(after, finding) and 0.0 < after.at_s - held.stop_s < GAP_IN_ROOM_S

    return list(joined(notes, sounds_on))


def _renamed(note: HeardNote, finding: Finding, beside: Collection[Note]) -> HeardNote:
    """A note by the name that was asked for, which it could as well have, another than those beside it if there is."""
    names = [each for each in (*sorted(note.others), *Note) if each.letter in finding.asked]
    name = next((each for each in names if each not in beside), names[0])
    return replace(note, note=name, others=(note.others | {note.note}) - {name})


def _with(notes: Sequence[HeardNote], more: HeardNote) -> list[HeardNote]:
    """The notes with one more within one of them, if it lies wholly within and is another."""
    out: list[HeardNote] = []
    for each in notes:
        if each.at_s < more.at_s and more.stop_s < each.stop_s and each.note is not more.note:
            if each.stop_s - more.stop_s < REST_S:
                out += [replace(each, stop_s=more.at_s), replace(more, stop_s=each.stop_s)]
            else:
                out += [replace(each, stop_s=more.at_s), more, replace(each, at_s=more.stop_s)]
        else:
            out.append(each)
    return out


def _without(left: Sequence[HeardNote], all_notes: Sequence[HeardNote]) -> list[HeardNote]:
    """The notes that are left, each lasting over what was taken out after it; equal ones that then touch are one."""
    out: list[HeardNote] = []
    kept = set(map(id, left))
    for each in all_notes:
        if id(each) in kept:
            out.append(each)
        elif out and touch(out[-1], each):
            out[-1] = replace(out[-1], stop_s=each.stop_s)
    return list(joined(out))
