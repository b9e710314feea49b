"""The order of fingers to teach, in groups that can go together, and the sentence that says so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fingering.crossings.passing import foreign_flags
from fingering.crossings.transition import Transition
from fingering.holes import Finger
from fingering.notes import HARMONIC, Tuning

UPPER_HAND = (Finger.UPPER_INDEX, Finger.UPPER_MIDDLE, Finger.UPPER_RING)
LOWER_HAND = (Finger.LOWER_INDEX, Finger.LOWER_MIDDLE, Finger.LOWER_RING, Finger.LOWER_LITTLE)


@dataclass(frozen=True, slots=True)
class Lesson:
    """How to play a transition: `order` is every moving finger, `groups` the same in groups that may go together.

    Within a group no order sounds a foreign note; the fewer the groups, the less there is to mind. `clean` is False
    where even the best order passes a foreign note.
    """

    order: tuple[Finger, ...]
    groups: tuple[tuple[Finger, ...], ...]
    clean: bool
    sentence: str


def teach(transition: Transition, tuning: Tuning = HARMONIC) -> Lesson:
    """The order to teach: the fewest foreign states, and then what opens before what closes.

    Among those that open the top one leads, among those that close the bottom one, so that nothing rolls.
    """
    flags = foreign_flags(transition, tuning)
    order = _best_order(transition, flags)
    groups = _groups(transition, order, flags)
    clean = not any(flags[transition.moved(order[:count])] for count in range(len(order)))
    return Lesson(order, groups, clean, _sentence(transition, groups))


def _best_order(transition: Transition, flags: Sequence[bool]) -> tuple[Finger, ...]:
    """The cheapest climb of the lattice: foreign states first, then pairs of fingers out of the usual order."""
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
    """Cut the order into groups, from its end: what has to lead is then alone, and the rest may follow as it likes."""
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
    if len(groups) == 1:
        if len(groups[0]) == 1:
            return f"{_movement(transition, groups[0])}: one finger, nothing to cross"
        return f"{_movement(transition, groups[0])}: in any order, no foreign note can sound"
    first, *rest = (_movement(transition, group) for group in groups)
    return ", then ".join((f"{first} first", *rest))


def _movement(transition: Transition, group: Sequence[Finger]) -> str:
    """ "upper ring finger up", "thumb and upper index down", or "the lower hand" when that is all of it."""
    fingers = set(group)
    for hand, name in ((UPPER_HAND, "the upper hand"), (LOWER_HAND, "the lower hand")):
        moving = {finger for finger in transition.movers if finger in hand}
        if len(fingers) > 1 and fingers == moving:
            return name + _direction(transition, group)
    ups = [finger for finger in group if finger in transition.lifts]
    downs = [finger for finger in group if finger in transition.drops]
    return " and ".join(f"{_names(part)} {way}" for part, way in ((ups, "up"), (downs, "down")) if part)


def _direction(transition: Transition, group: Sequence[Finger]) -> str:
    if set(group) <= set(transition.lifts):
        return " up"
    return " down" if set(group) <= set(transition.drops) else ""


def _names(fingers: Sequence[Finger]) -> str:
    if len(fingers) == 1:
        return finger_name(fingers[0])
    *most, last = (finger.label for finger in fingers)
    return f"{', '.join(most)} and {last}"


def finger_name(finger: Finger) -> str:
    """ "thumb", "upper ring finger"."""
    return finger.label if finger is Finger.THUMB else f"{finger.label} finger"
