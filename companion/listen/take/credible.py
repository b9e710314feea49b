"""Whether a take is a performance of the tune at all: what is not is said plainly, and never judged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from companion.listen.model.asked import Asked
from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Fingered, Played, Sounded
from companion.listen.model.tally import Tally
from companion.listen.setting.changes import ChangeHeard
from fingering.chart import sounded
from fingering.errors import UserError
from fingering.notes import Note


class UnlikeTune(UserError):
    """What was played is not the tune, or not by the notes that it was taken for."""


LEAST_NOTES = 8
"""Fewer notes show nothing, if they are not all of a shorter tune."""

LONGEST_TIMES = 5.0
"""A take with so many times the notes of the tune is not one attempt at it. How slowly it was played is no matter."""

LEAST_SHARE = 0.55
"""The least share of the melody to be heard right. Takes of another tune reach 0.5, of a bar or two 0.7, notes drawn at
random 0.4; takes with a fault at every third note have 0.72 and more (simulated learners)."""

LEAP_COUNTS = 4
"""A leap counts as this many notes not heard: a walk that leaps often fits anything."""


FEW_AMISS = 2
"""A take with no more than this amiss is judged if anything was right: of a bar of four notes two may be wrong."""


def check_events(asked: Asked, events: Sequence[Played], where: str | None = None) -> None:
    """Refuse a take that its events alone show to be no performance: empty, all one note, far too many. Raises
    UserError."""
    notes = [note for event in events if (note := note_of(event)) is not None]
    if not notes:
        raise UserError("nothing was played in this take", "play it again: eightholes ports lists what is heard", where)
    wanted = {token.note for token in asked.tokens if token.melody in asked.notes}
    if len(set(notes)) == 1 and len(wanted) > 1:
        what = f"all of this take is one note, {notes[0].label}, so it is not judged"
        remedy = "play more of the tune, and see that an electronic chanter tells of every finger"
        raise UserError(what, remedy, where)
    if not asked.tokens:
        raise UserError("the tune has no notes", "choose another", where)
    if len(notes) > LONGEST_TIMES * len(asked.tokens) + LEAST_NOTES:
        what = f"this take has {len(notes)} notes where the tune has {len(asked.tokens)}, so it is not judged"
        raise UserError(what, "cut it to one attempt", where)


def note_of(event: Played) -> Note | None:
    """What an event sounds, None for silence."""
    if isinstance(event, Fingered):
        return sounded(event.state)
    assert isinstance(event, Sounded)
    return event.note


LEAST_IN_SETTING = 0.4
"""The least share of the melody to be heard right of one who plays another setting, whose changes then count as right.
Takes of another tune reach 0.35 of it, and with all changes that come back 0.45 (a simulator of others)."""


def check_heard(
    asked: Asked, tally: Tally, title: str, where: str | None = None, *, changes: Sequence[ChangeHeard] = ()
) -> None:
    """Refuse what was listened to and is no performance of the tune. Raises UserError, for another tune UnlikeTune.

    changes: what makes another setting of it; a tune in which much is changed is still that tune.
    """
    wanted = sum(token.is_melody for token in asked.tokens)
    if tally.heard_notes < min(LEAST_NOTES, wanted):
        raise UserError(f"only {tally.heard_notes} notes were played, too few to judge", "play more of the tune", where)
    share = melody_share(tally)
    few_amiss = tally.notes_right > 0 and _amiss(tally) <= FEW_AMISS
    if share < LEAST_SHARE and not few_amiss and not _is_a_setting(tally, changes):
        what = f"this does not sound like {title} ({100.0 * share:.0f} % of the melody fits), so it is not judged"
        raise UnlikeTune(what, "choose the tune that was played", where)


def melody_share(tally: Tally) -> float:
    """Right melody notes among those asked for, everything else that was heard, and leaps."""
    return tally.notes_right / max(1, tally.notes_right + _amiss(tally))


def _amiss(tally: Tally) -> int:
    return tally.notes - tally.notes_right + tally.extras + LEAP_COUNTS * tally.leaps


def _is_a_setting(tally: Tally, changes: Sequence[ChangeHeard]) -> bool:
    """Whether the changes explain enough of what was not heard right. A take of another tune comes back to its own
    changes in each repeat too, but it leaps about in the tune that it is laid beside."""
    if melody_share(tally) < LEAST_IN_SETTING:
        return False
    findings = [finding.kind for change in changes for finding in change.findings]
    wrong = sum(each in (FindingKind.WRONG_NOTE, FindingKind.MISSING_NOTE) for each in findings)
    extras = sum(each in (FindingKind.EXTRA_NOTE, FindingKind.EXTRA_GRACENOTE) for each in findings)
    explained = replace(tally, notes_right=tally.notes_right + wrong, extras=max(0, tally.extras - extras))
    return melody_share(explained) >= LEAST_SHARE
