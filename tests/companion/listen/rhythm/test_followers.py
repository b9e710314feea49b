"""Several ways to hear a rhythm: how they are weighed, and how few are needed."""

from __future__ import annotations

import pytest

from companion.listen.model.strictness import Strictness
from companion.listen.rhythm.beat_placement import SCHOOLS
from companion.listen.rhythm.follower import Follower, MelodyTimes
from companion.listen.rhythm.followers import Followers, weighed
from companion.listen.rhythm.heard import HeardUnit, kind_of
from companion.listen.rhythm.pointing import Pair
from companion.listen.rhythm.pulse import Pulse
from fingering.embellishments import Family

LIMITS = Strictness.USUAL.limits
NOTES, GRACENOTES_S = 120, 0.1
GRIP, DOUBLING = kind_of(Family.GRIP), kind_of(Family.DOUBLING)


def hearing_of(kind: int, notes: int, *, before_beat: bool) -> Followers:
    """Those that heard notes of a second each, every second one with an embellishment of that kind on or before the
    beat."""
    followers = Followers.of_all_schools(MelodyTimes([float(rank) for rank in range(NOTES)], [1.0] * NOTES, {}), LIMITS)
    for follower in followers:
        follower.follow(Pulse(1.0))
    begins_s = -GRACENOTES_S if before_beat else 0.0
    for rank in range(notes):
        adorned = rank % 2 == 1
        group_s = rank + begins_s * adorned
        unit = HeardUnit(rank, group_s, group_s + GRACENOTES_S * adorned, kind if adorned else None, True, False)
        followers.await_note(unit)
        followers.hear(unit, ())
    return followers


def test_of_three_ways_to_hear_each_is_believed_by_its_odds() -> None:
    """The best first; one that was surprised more by 3.9, a logarithm of odds, is one of fifty (by hand)."""
    places = MelodyTimes((0.0, 1.0), (1.0, 1.0), {0: Pair(0, 3.0)})
    followers = [Follower(places, LIMITS, school) for school in SCHOOLS]
    for follower, surprise in zip(followers, (7.4, 3.5, 30.0), strict=True):
        follower.surprise = surprise
    (best, most), (second, little), (_, none) = weighed(followers)
    assert (best, second) == (followers[1], followers[0])
    assert [most, little, none] == pytest.approx([0.9802, 0.0198, 0.0], abs=1e-4)
    assert places.pair_ending(1) == Pair(0, 3.0)
    assert places.pair_ending(0) is None


def test_one_hears_for_all_schools_until_an_embellishment_tells_them_apart() -> None:
    """As pipers do, and all on the beat, differ in grips and not in doublings (by the table of schools)."""
    assert [each.schools for each in hearing_of(GRIP, 1, before_beat=True)] == [SCHOOLS]
    assert len(list(hearing_of(DOUBLING, 2, before_beat=False))) == 2
    assert len(list(hearing_of(GRIP, 2, before_beat=True))) == 2


@pytest.mark.parametrize("before_beat", [True, False])
def test_schools_that_have_learnt_the_same_of_a_player_are_heard_as_one(before_beat: bool) -> None:
    """Sixty grips tell where this player has their beat, whatever was taught; what tells them apart later still can."""
    followers = hearing_of(GRIP, NOTES, before_beat=before_beat)
    (one,) = followers
    assert len(one.schools) == len(SCHOOLS)
    followers.await_note(HeardUnit(NOTES, float(NOTES), NOTES + GRACENOTES_S, DOUBLING, True, False))
    assert len(list(followers)) == 2


def test_a_second_hearing_begins_with_what_the_first_has_learnt() -> None:
    """The tempo that it is given, and one follower where one was left."""
    (again,) = hearing_of(GRIP, NOTES, before_beat=True).once_more(1.25)
    assert again.ratio == 1.25
    assert again.surprise != 0.0
