"""Slips that are hard to tell from others: a wrong note that is heard beside it anyway, and what is played again."""

from __future__ import annotations

from companion.listen.model.findings import FindingKind as Fault
from fingering.notes import Note
from tests.learners.hands import Hands
from tests.learners.learner import Group, Made

SHORT_S = 0.25


def as_its_gracenote(hands: Hands, group: Group) -> bool:
    """One of its gracenotes held for the note's time, the note itself never reached.

    Of a short note that is as truly the note left out after a slow gracenote.
    """
    after, after_graces = hands.next_group
    around = (group.note, hands.last.note, *after_graces[:1], *(() if after_graces else (after,)))
    fits = [note for note in dict.fromkeys(group.graces) if note not in around]
    if not fits:
        return False
    also = frozenset({Fault.MISSING_NOTE}) if group.length_s < SHORT_S else frozenset()
    return _wrong(hands, group, hands.pick(fits), also)


def as_note_before(hands: Hands, group: Group) -> bool:
    """The note before once more. Where nothing parts the two it sounds as a note left out, and that is as true."""
    before = hands.last.note
    after, after_graces = hands.next_group
    if before in (group.note, *group.graces[-1:], *after_graces[:1]) or (not after_graces and before is after):
        return False
    return _wrong(hands, group, before, frozenset() if group.graces else frozenset({Fault.MISSING_NOTE}))


def as_note_after(hands: Hands, group: Group) -> bool:
    """The note after too soon. Where nothing parts the two it sounds as a note left out, and that is as true."""
    after, after_graces = hands.next_group
    if after is None or after in (group.note, hands.last.note, *group.graces[-1:], *after_graces[:1]):
        return False
    return _wrong(hands, group, after, frozenset() if after_graces else frozenset({Fault.MISSING_NOTE}))


def _wrong(hands: Hands, group: Group, note: Note, also: frozenset[Fault]) -> bool:
    group.note = note
    hands.note_down(Made(Fault.WRONG_NOTE, hands.play_group(group), group.index, also=also))
    return True


def note_again(hands: Hands, group: Group) -> bool:
    """The note with its gracenotes twice; that is beginning again, or an extra note."""
    if not group.graces or group.graces[0] is group.note:
        return False
    return _note_again(hands, group, 0.0, frozenset({Fault.EXTRA_NOTE}))


def note_again_after_silence(hands: Hands, group: Group) -> bool:
    """Play one note, stop, and begin it again; a judge may tell that as a stop and an extra note too."""
    return _note_again(hands, group, hands.uniform(0.3, 1.0), frozenset({Fault.EXTRA_NOTE, Fault.BREAK}))


def _note_again(hands: Hands, group: Group, silence_s: float, also: frozenset[Fault]) -> bool:
    """The note twice. Which of several equal notes in a row was the one begun again, nobody can hear: a first attempt
    is broken off at any length, so that the lengths of two that were written unequal do not tell either."""
    alike = hands.equal_in_a_row()
    hands.play_group(group)
    lasts_s = hands.uniform(0.6, 1.0) * max(0.25, group.length_s)
    hands.shift(lasts_s)
    hands.pause(silence_s)
    group.begins_s += lasts_s + silence_s
    stopped = silence_s > 0.0
    hands.note_down(Made(Fault.RESTART, group.begins_s, group.index, also=also, also_at=alike, stopped=stopped))
    hands.play_group(group)
    return True


def bar_again(hands: Hands, group: Group) -> bool:
    """From the bar's beginning, after holding the note on a little."""
    return _bar_again(hands, group, 0.0)


def bar_again_after_silence(hands: Hands, group: Group) -> bool:
    """Play the beginning of a bar, stop, and begin the bar again."""
    return _bar_again(hands, group, hands.uniform(0.3, 1.5))


def _bar_again(hands: Hands, group: Group, silence_s: float) -> bool:
    if not hands.go_back(silence_s):
        return False
    hands.play_group(group)
    return True
