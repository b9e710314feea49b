"""Finds the order of fingers to teach, in groups that can move together, and the sentence that tells it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fingering.crossings.passing import foreign_flags
from fingering.crossings.transition import Transition
from fingering.holes import Finger
from fingering.notes import HARMONIC, Tuning

UPPER_HAND = (Finger.UPPER_INDEX, Finger.UPPER_MIDDLE, Finger.UPPER_RING)
LOWER_HAND = (Finger.LOWER_INDEX, Finger.LOWER_MIDDLE, Finger.LOWER_RING, Finger.LOWER_LITTLE)

MANY_FINGERS = 3  # more than this are not told one by one


@dataclass(frozen=True, slots=True)
class TaughtOrder:
    """How to play a transition. `order` holds every moving finger, `groups` cuts it into groups that may move together.

    Within a group no order sounds a foreign note; the fewer the groups, the less there is to mind. `clean` is False
    where even the best order passes a foreign note.
    """

    order: tuple[Finger, ...]
    groups: tuple[tuple[Finger, ...], ...]
    clean: bool
    sentence: str


def teach(transition: Transition, tuning: Tuning = HARMONIC) -> TaughtOrder:
    """The order to teach: with the fewest foreign states; among equals, what opens goes before what closes.

    Of the fingers that open the top one leads, of those that close the bottom one, so that nothing rolls.
    """
    flags = foreign_flags(transition, tuning)
    order = _best_order(transition, flags)
    groups = _groups(transition, order, flags)
    clean = not any(flags[transition.moved(order[:count])] for count in range(len(order)))
    return TaughtOrder(order, groups, clean, _sentence(transition, groups))


def _best_order(transition: Transition, flags: Sequence[bool]) -> tuple[Finger, ...]:
    """The cheapest path up the lattice: foreign states cost most, then pairs of fingers out of the usual order."""
    usual = (*transition.lifts, *reversed(transition.drops))
    # Bit i of these sets is movers[i], as everywhere; later[i] is the set of those that usually come after movers[i].
    later = [transition.moved(usual[usual.index(finger) + 1 :]) for finger in transition.movers]
    best: list[tuple[int, int, tuple[Finger, ...]]] = [(0, 0, ())]
    for moved in range(1, len(flags)):
        candidates = []
        for i, finger in enumerate(transition.movers):
            if moved & 1 << i:
                before = moved ^ 1 << i
                foreign, swaps, order = best[before]
                candidates.append((foreign + flags[moved], swaps + (before & later[i]).bit_count(), (*order, finger)))
        best.append(min(candidates))
    return best[-1][2]


def _groups(transition: Transition, order: tuple[Finger, ...], flags: Sequence[bool]) -> tuple[tuple[Finger, ...], ...]:
    """Cut the order into groups from its end, each as long as it can be, so that a finger which leads is alone."""
    groups: list[tuple[Finger, ...]] = []
    stop = len(order)
    while stop:
        start = stop - 1
        while start and _any_order_is_clean(transition, order[: start - 1], order[start - 1 : stop], flags):
            start -= 1
        groups.append(order[start:stop])
        stop = start
    return tuple(reversed(groups))


def _any_order_is_clean(
    transition: Transition, before: Sequence[Finger], group: Sequence[Finger], flags: Sequence[bool]
) -> bool:
    base = transition.moved(before)
    free = transition.moved(group)
    part = free
    while part := (part - 1) & free:  # every proper, non-empty subset of the group
        if flags[base | part]:
            return False
    return True


def _sentence(transition: Transition, groups: Sequence[Sequence[Finger]]) -> str:
    first, *rest = groups
    if not rest:
        reason = "one finger, nothing to cross" if len(first) == 1 else "in any order, no crossing noise can sound"
        return f"{_hand(transition, first) or _movement(transition, first)}: {reason}"
    if len(first) > MANY_FINGERS and len(rest) == 1:
        return f"{_movement(transition, rest[0])} last, after all the others"
    followers = (_follower(transition, group) for group in rest)
    return ", then ".join((f"{_movement(transition, first)} first", *followers))


def _follower(transition: Transition, group: Sequence[Finger]) -> str:
    """The words for what moves after the finger that leads: "the lower hand" if that is all of it, else its fingers."""
    if hand := _hand(transition, group):
        return hand
    return "all the others" if len(group) > MANY_FINGERS else _movement(transition, group)


def _hand(transition: Transition, group: Sequence[Finger]) -> str:
    """ "the lower hand" when a group is all of it that moves, with "up" or "down" if it goes one way; else ""."""
    way = "" if set(group) - set(transition.drops) else " down"
    way = way if set(group) - set(transition.lifts) else " up"
    for hand, name in ((UPPER_HAND, "the upper hand"), (LOWER_HAND, "the lower hand")):
        if len(group) > 1 and set(group) == set(hand) & set(transition.movers):
            return name + way
    return ""


def _movement(transition: Transition, group: Sequence[Finger]) -> str:
    """A group in words: "upper ring finger up", "upper index and middle up and lower ring finger down"."""
    ups = [finger for finger in group if finger in transition.lifts]
    downs = [finger for finger in group if finger in transition.drops]
    return " and ".join(f"{finger_names(part)} {way}" for part, way in ((ups, "up"), (downs, "down")) if part)


def finger_names(fingers: Sequence[Finger]) -> str:
    """Fingers by name, a hand named once for all its fingers in a row: "upper ring and middle"."""
    if len(fingers) == 1:
        return finger_name(fingers[0])
    words = []
    hand = ""
    for finger in fingers:
        this_hand, _, digit = finger.label.rpartition(" ")
        words.append(digit if this_hand == hand else finger.label)
        hand = this_hand
    return f"{', '.join(words[:-1])} and {words[-1]}"


def finger_name(finger: Finger) -> str:
    """A finger in words: "thumb", "upper ring finger"."""
    return finger.label if finger is Finger.THUMB else f"{finger.label} finger"
