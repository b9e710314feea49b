"""Several ways to hear a player's rhythm, one for each school that the player may be of, weighed by what was heard."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from operator import attrgetter

from companion.listen.model.strictness import Limits
from companion.listen.rhythm.beat_placement import SCHOOLS
from companion.listen.rhythm.follower import Follower, MelodyTimes
from companion.listen.rhythm.heard import BeatHeard, HeardUnit

HEARD_AGAIN = 0.001
"""A school less likely than this after the first hearing has no say in the second."""

GIVEN_UP = 1e-9
MERGED_AFTER = 8
"""Once in so many notes those followers are merged that have come to hear alike, and schools less likely than GIVEN_UP
are given up: should the player change over to one, the others learn it from a few notes."""


class Followers:
    """The followers of all schools. Until a kind of embellishment is heard about which schools differ, one hears for
    all of them; and one again once what was learnt of the player has made them alike."""

    def __init__(self, followers: Sequence[Follower], kinds: Collection[int] = ()) -> None:
        """kinds: the kinds of embellishment that were heard."""
        self._followers = list(followers)
        self._kinds = set(kinds)
        self._notes = 0

    @classmethod
    def of_all_schools(cls, places: MelodyTimes, limits: Limits) -> Followers:
        """Return those for a player of whom nothing is known yet."""
        return cls([Follower(places, limits, *SCHOOLS)])

    def once_more(self, ratio: float) -> Followers:
        """Return followers that hear the same take from its beginning at this tempo, in seconds played for each asked
        one, and know what these have learnt of the player."""
        known = [each.once_more(ratio) for each in _with_a_say(self._followers, HEARD_AGAIN)]
        return Followers(_merged(known, self._kinds), self._kinds)

    def __iter__(self) -> Iterator[Follower]:
        return iter(self._followers)

    @property
    def likeliest(self) -> Follower:
        """The one that was surprised least."""
        return min(self._followers, key=attrgetter("surprise"))

    def await_note(self, unit: HeardUnit) -> None:
        """Be ready for a note: from the first embellishment of its kind on that is played as asked, schools that differ
        in it are heard apart."""
        kind = unit.kind if unit.plain else None
        if kind is not None and kind not in self._kinds:
            self._kinds.add(kind)
            self._followers = [part for each in self._followers for part in each.parted(kind)]

    def hear(self, unit: HeardUnit, following: Sequence[HeardUnit]) -> dict[Follower, BeatHeard]:
        """Take in a note, known those that follow; returns when each follower takes its beat to have been."""
        if len(self._followers) > 1 and not self._notes % MERGED_AFTER:
            self._followers = _merged(_with_a_say(self._followers, GIVEN_UP), self._kinds)
        self._notes += 1
        return {follower: follower.hear(unit, following) for follower in self._followers}

    def weighed(self) -> list[tuple[Follower, float]]:
        """Return the followers with how likely each of them hears as the player plays, the likeliest first; these add
        up to 1."""
        return weighed(self._followers)

    def cut(self) -> None:
        """Forget when the next note is due."""
        for follower in self._followers:
            follower.cut()


def _merged(followers: Sequence[Follower], kinds: Collection[int]) -> list[Follower]:
    """Return the followers without those that hear these kinds of embellishment as one that was surprised less does,
    which then hears for their schools as well."""
    left: list[Follower] = []
    for each in sorted(followers, key=attrgetter("surprise")):
        like = next((other for other in left if other.is_like(each, kinds)), None)
        if like is None:
            left.append(each)
        else:
            like.schools += each.schools
    return left


def _with_a_say(followers: Sequence[Follower], least: float) -> list[Follower]:
    """Return those whose schools are each at least so likely."""
    return [each for each, share in weighed(followers) if share >= least * len(each.schools)]


def weighed(followers: Sequence[Follower]) -> list[tuple[Follower, float]]:
    """Return the followers with how likely each of them hears as the player plays, the likeliest first; these add up to
    1."""
    ranked = sorted(followers, key=lambda follower: follower.surprise)
    odds = [len(each.schools) * math.exp(ranked[0].surprise - each.surprise) for each in ranked]
    total = sum(odds)
    return [(each, share / total) for each, share in zip(ranked, odds, strict=True)]
