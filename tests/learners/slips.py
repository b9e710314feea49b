"""Slips, one function for each kind: each plays a melody note wrong in its way, or returns False where it cannot be.

What could not be told from right playing, or from another slip, is not made: a gracenote left out that sounds the
same as the note before or after, a foreign note on the fingers' way passed off as a gracenote of one's own, a whole
embellishment early or late by about its own length, which is another custom.
"""

from __future__ import annotations

from itertools import combinations

from companion.listen.model.findings import FindingKind as Fault
from fingering.chart import chart, sounded
from fingering.holes import HoleState
from fingering.movement import gracenote_states
from fingering.notes import Note
from tests.learners.hands import Hands
from tests.learners.learner import Group, Made

CUSTOM_S = 0.05
MOST_STRAY = 0.25
"""No clean onset strays by more than this share of the shorter interval beside it."""

LEAST_BEFORE_S = 0.08
NEXT_GRACENOTE_S = 0.045
"""An extra gracenote leaves room for itself and for each of the next note's gracenotes, if before the beat."""
JITTERS_OFF = 3.0
"""Who is unsteady is off time by so many standard deviations of that more; a pair that is played even is off by one
more than that. Less could be unsteadiness."""


def crossing(hands: Hands, group: Group) -> bool:
    """One finger 12 to 90 ms late on the way to the first sound of the group, so that a foreign note is heard."""
    before = hands.last
    first = gracenote_states(group.graces, group.note)[0] if group.graces else chart(group.note)
    moving = before.state.moves_to(first)
    ends = (before.note, sounded(first))
    noisy = [finger for finger in moving if sounded(HoleState(first ^ 1 << finger)) not in ends]
    if len(moving) < 2 or not noisy:
        return False
    finger = noisy[hands.rank(len(noisy))]
    late_s = hands.uniform(0.012, 0.09)
    noise = HoleState(first ^ 1 << finger)
    began_s = hands.sound(group.begins_s, sounded(noise), noise)
    group.begins_s = began_s + late_s
    hands.play_group(group)
    hands.note_down(Made(Fault.CROSSING, began_s, group.index, finger, 1000.0 * late_s))
    return True


def missing_gracenote(hands: Hands, group: Group) -> bool:
    """One gracenote left out; between two equal notes they are one sound then, as if the note itself was missing."""
    if not group.graces:
        return False
    rank = hands.rank(len(group.graces))
    if rank == 0 and group.graces[0] is hands.last.note:
        return False
    del group.graces[rank], group.lengths_s[rank]
    joined = not group.graces and group.note is hands.last.note
    also = frozenset({Fault.MISSING_NOTE}) if joined else frozenset()
    hands.note_down(Made(Fault.MISSING_GRACENOTE, hands.play_group(group), group.index, also=also))
    return True


def extra_gracenote(hands: Hands, group: Group) -> bool:
    """A gracenote before or within a bare note of more than 250 ms."""
    before = hands.last
    if group.graces or group.length_s < 0.25:
        return False
    extra = hands.pick([note for note in Note if note not in (group.note, before.note)])
    state = gracenote_states([extra], group.note)[0]
    at_s = group.begins_s
    if hands.rank(2):
        hands.sound(at_s, group.note, chart(group.note))
        room_s = (1.0 - MOST_STRAY) * group.length_s - NEXT_GRACENOTE_S * (1 + len(hands.next_group[1]))
        at_s += min(hands.uniform(0.3, 0.7) * group.length_s, max(room_s, LEAST_BEFORE_S))
    elif extra in passing(before.state, chart(group.note)):
        return False
    began_s = hands.sound(at_s, extra, state)
    hands.sound(began_s + hands.grace_s(), group.note, chart(group.note))
    hands.note_down(Made(Fault.EXTRA_GRACENOTE, began_s, group.index))
    return True


def wrong_gracenote(hands: Hands, group: Group) -> bool:
    """Another note in a gracenote's place."""
    if not group.graces:
        return False
    rank = hands.rank(len(group.graces))
    before = group.graces[rank - 1] if rank else hands.last.note
    after = group.graces[rank + 1] if rank + 1 < len(group.graces) else group.note
    if group.graces[rank] is before:
        return False
    group.graces[rank] = hands.pick([note for note in Note if note not in (group.graces[rank], before, after)])
    hands.play_group(group)
    hands.note_down(Made(Fault.WRONG_GRACENOTE, group.grace_at_s(rank), group.index))
    return True


def long_gracenote(hands: Hands, group: Group) -> bool:
    """A gracenote of 110 to 200 ms before a note of more than 350 ms, with another sound on either side of it."""
    if not group.graces or group.length_s < 0.35:
        return False
    rank = hands.rank(len(group.graces))
    sounds = [hands.last.note, *group.graces, group.note]
    if sounds[rank + 1] in (sounds[rank], sounds[rank + 2]):
        return False
    group.lengths_s[rank] = hands.uniform(0.11, 0.2)
    hands.play_group(group)
    hands.note_down(Made(Fault.LONG_GRACENOTE, group.grace_at_s(rank), group.index))
    return True


def uneven(hands: Hands, group: Group) -> bool:
    """Three gracenotes or more, one of 66 to 80 ms, the rest of 18 to 31."""
    merged = group.graces and (group.graces[0] is hands.last.note or group.graces[-1] is group.note)
    if len(group.graces) < 3 or merged or sum(group.lengths_s) < 0.09:
        return False
    short_s = hands.uniform(0.020, 0.028)
    group.lengths_s = [short_s * hands.uniform(0.9, 1.1) for _ in group.lengths_s]
    group.lengths_s[hands.rank(len(group.graces))] = hands.uniform(0.066, 0.080)
    hands.play_group(group)
    hands.note_down(Made(Fault.UNEVEN, group.begins_s, group.index))
    return True


def missing_note(hands: Hands, group: Group) -> bool:
    """A melody note left out with its gracenotes; its time is left out too, or kept."""
    if group.note in (hands.last.note, hands.next_group[0]):
        return False
    hands.note_down(Made(Fault.MISSING_NOTE, group.begins_s, group.index))
    if hands.rank(2):
        hands.shift(-group.length_s)
    return True


def wrong_note(hands: Hands, group: Group) -> bool:
    """Another melody note."""
    after, after_graces = hands.next_group
    taken = (group.note, hands.last.note, after, *group.graces, *after_graces[:1])
    group.note = hands.pick([note for note in Note if note not in taken])
    hands.note_down(Made(Fault.WRONG_NOTE, hands.play_group(group), group.index))
    return True


def extra_note(hands: Hands, group: Group) -> bool:
    """A note of one's own before this one, 130 ms or longer, that takes its own time."""
    extra = hands.pick([note for note in Note if note not in (group.note, hands.last.note, *group.graces)])
    lasts_s = hands.uniform(0.6, 1.0) * max(0.22, group.length_s)
    began_s = hands.sound(group.begins_s, extra, chart(extra))
    hands.note_down(Made(Fault.EXTRA_NOTE, began_s, group.index))
    hands.shift(lasts_s)
    group.begins_s += lasts_s
    hands.play_group(group)
    return True


def early(hands: Hands, group: Group) -> bool:
    """Too soon by 30 ms and 18 to 28 % of the longer interval beside it: more than unsteadiness does."""
    return _off_time(hands, group, Fault.EARLY, -1.0)


def late(hands: Hands, group: Group) -> bool:
    """Too late by as much."""
    return _off_time(hands, group, Fault.LATE, 1.0)


def _off_time(hands: Hands, group: Group, kind: Fault, sign: float) -> bool:
    before_s = hands.length_s(group.index - 1)
    off_s = hands.uniform(0.18, 0.28) * max(group.length_s, before_s) + 0.03 + JITTERS_OFF * hands.jitter_s
    room_s = 0.5 * min(group.length_s, before_s) - (sum(group.lengths_s) if kind is Fault.LATE else 0.0)
    pointed = hands.is_pointed(group.index - 1) or hands.is_pointed(group.index)
    another_custom = len(group.graces) > 1 and abs(off_s - sum(group.lengths_s)) < CUSTOM_S
    if pointed or another_custom or off_s > room_s:
        return False
    group.begins_s += sign * off_s
    hands.note_down(Made(kind, hands.play_group(group), group.index))
    return True


def pointing(hands: Hands, group: Group) -> bool:
    """A pointed pair played nearly even, the longer one 0.8 to 1.4 times the other, and well short of what is asked."""
    if not hands.is_pointed(group.index):
        return False
    one_s, two_s = group.length_s, hands.length_s(group.index + 1)
    if abs(one_s - two_s) / 2.0 < (JITTERS_OFF + 1.0) * hands.jitter_s:
        return False
    even = hands.uniform(0.8, min(1.4, max(one_s, two_s) / min(one_s, two_s) / 1.6))
    longer_first = one_s > two_s
    hands.note_down(Made(Fault.POINTING, group.onset_s, group.index))
    hands.play_even(group, even if longer_first else 1.0 / even)
    return True


def passing(before: HoleState, after: HoleState) -> set[Note]:
    """The notes that fingers can sound on their way."""
    moving = before.moves_to(after)
    halfway = (done for count in range(1, len(moving)) for done in combinations(moving, count))
    return {sounded(HoleState(before ^ HoleState.of_closed(done))) for done in halfway}
