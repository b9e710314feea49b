"""Where players put the beat of an embellishment, and how that is learnt."""

from __future__ import annotations

import pytest

from companion.listen.rhythm.beat_placement import SCHOOLS, Customs, Odds
from companion.listen.rhythm.heard import HeardUnit, kind_of
from companion.listen.rhythm.pulse import Due
from fingering.embellishments import Family

AS_PIPERS_DO, ALL_ON, ALL_BEFORE = SCHOOLS
BEGINS_S, ENDS_S = 1.0, 1.2


def unit(family: Family | None = Family.DOUBLING, *, plain: bool = True) -> HeardUnit:
    """A note whose gracenotes begin at 1.0 s and which itself begins at 1.2 s."""
    return HeardUnit(0, BEGINS_S, ENDS_S, family and kind_of(family), plain, False)


def due(at_s: float, spread_s: float = 0.05) -> Due:
    """When it was due, and how far such notes may stray."""
    return Due(at_s, 0.0, spread_s, spread_s)


def taught(school: dict[int, Odds], at_s: float, notes: int, spread_s: float = 0.05) -> Customs:
    """A player of that school whose doublings were due at such a moment, so many times."""
    customs = Customs(school)
    for _ in range(notes):
        customs.learn(unit(), due(at_s, spread_s))
    return customs


def before_odds(customs: Customs, each: HeardUnit) -> float:
    """How many times likelier the beat is at an embellishment's end than at its beginning."""
    share = (customs.beat(each)[0] - BEGINS_S) / (ENDS_S - BEGINS_S)
    return share / (1.0 - share)


def test_a_school_is_believed_twelve_to_one() -> None:
    """At first; of single gracenotes and strikes, which nearly all place alike, a hundred to one (a choice, no
    source)."""
    for family in (Family.DOUBLING, Family.TAORLUATH, Family.BIRL, Family.THROW):
        assert before_odds(Customs(ALL_BEFORE), unit(family)) == pytest.approx(12.0, abs=0.3)
        assert before_odds(Customs(ALL_ON), unit(family)) == pytest.approx(1.0 / 12.0, rel=0.03)
    for family in (Family.SINGLE, Family.STRIKE):
        assert 90.0 < before_odds(Customs(ALL_BEFORE), unit(family)) < 110.0


def test_until_a_custom_is_certain_both_moments_are_allowed_for() -> None:
    """The likelier first; of single gracenotes the school is believed at once."""
    assert Customs(ALL_BEFORE).moments_s(unit()) == (ENDS_S, BEGINS_S)
    assert Customs(ALL_ON).moments_s(unit()) == (BEGINS_S, ENDS_S)
    assert Customs(ALL_ON).moments_s(unit(Family.SINGLE)) == (BEGINS_S,)
    assert Customs(ALL_BEFORE).moments_s(unit(Family.STRIKE)) == (ENDS_S,)


def test_a_note_without_gracenotes_has_one_moment() -> None:
    """It is its onset, beyond doubt by every custom."""
    bare = HeardUnit(0, ENDS_S, ENDS_S, None, True, False)
    for school in SCHOOLS:
        assert Customs(school).moments_s(bare) == (ENDS_S,)
        assert Customs(school).beat(bare) == (ENDS_S, 0.0)
        assert Customs(school).sure(bare)


def test_what_was_not_played_as_asked_has_its_beat_anywhere_within() -> None:
    """In the middle, give or take half of its length."""
    at_s, unsure_s = Customs(AS_PIPERS_DO).beat(unit(plain=False))
    assert at_s == pytest.approx(1.1)
    assert unsure_s == pytest.approx(0.1)


def test_a_beat_in_doubt_is_weighed_and_unsure() -> None:
    """Twelve to one between two moments 200 ms apart: some 15 ms from the likelier, give or take 53 (by hand)."""
    at_s, unsure_s = Customs(ALL_ON).beat(unit())
    assert at_s == pytest.approx(BEGINS_S + 0.2 / 13.2, abs=0.001)
    assert unsure_s == pytest.approx(0.2 * (12.2 / 13.2**2) ** 0.5, abs=0.001)


def test_one_note_that_says_so_makes_a_custom_certain_enough() -> None:
    """It goes from twelve to one beyond fifty to one, and only the one moment is left."""
    assert taught(ALL_BEFORE, ENDS_S, 1).moments_s(unit()) == (ENDS_S,)
    assert taught(ALL_ON, BEGINS_S, 1).moments_s(unit()) == (BEGINS_S,)
    assert taught(ALL_ON, ENDS_S, 1).moments_s(unit()) == (ENDS_S, BEGINS_S)


def test_beyond_doubt_is_more_than_certain() -> None:
    """A custom is known beyond doubt after three notes that say so, and before that not."""
    assert [taught(ALL_BEFORE, ENDS_S, notes).sure(unit()) for notes in range(4)] == [False, False, False, True]
    assert not Customs(ALL_ON).sure(unit(Family.SINGLE))


def test_a_note_tells_by_how_much_nearer_it_is_to_one_moment() -> None:
    """By hand: two standard deviations from the one and none from the other make odds of e squared, and one from the
    middle takes less from that."""
    once = taught(ALL_BEFORE, ENDS_S, 1, spread_s=0.1)
    assert before_odds(once, unit()) / before_odds(Customs(ALL_BEFORE), unit()) == pytest.approx(6.49, rel=0.01)


def test_a_fault_tells_no_more_than_three_standard_deviations() -> None:
    """Twenty of them tell the same: nothing, where no custom is nearer than three."""
    for spread_s in (0.01, 0.06):
        assert before_odds(taught(ALL_BEFORE, 2.0, 1, spread_s), unit()) == pytest.approx(11.95, rel=0.02)
    assert before_odds(taught(ALL_BEFORE, BEGINS_S, 1, 0.05), unit()) < 1.0


def test_who_puts_the_beat_in_the_middle_is_understood() -> None:
    """It is unlikely at first; two notes that say so are enough to hear nothing but that."""
    assert 1.1 not in Customs(AS_PIPERS_DO).moments_s(unit())
    customs = taught(ALL_BEFORE, 1.1, 4, spread_s=0.03)
    assert list(customs.moments_s(unit())) == pytest.approx([1.1])
    assert customs.beat(unit())[0] == pytest.approx(1.1, abs=0.001)


def test_a_custom_can_be_unlearnt() -> None:
    """However often it was heard, three notes to the contrary make the other moment the likelier."""
    customs = taught(ALL_BEFORE, ENDS_S, 500)
    first = []
    for _ in range(4):
        customs.learn(unit(), due(BEGINS_S))
        first.append(customs.moments_s(unit())[0])
    assert first == [ENDS_S, ENDS_S, BEGINS_S, BEGINS_S]


def test_what_was_heard_long_ago_fades_to_the_school() -> None:
    """After forty notes that tell nothing, half of what was learnt is left, as a logarithm of odds."""
    customs = taught(ALL_ON, ENDS_S, 20)
    for _ in range(40):
        customs.learn(unit(), due(BEGINS_S, spread_s=100.0))
    assert before_odds(taught(ALL_ON, ENDS_S, 20), unit()) > 100_000.0
    assert 100.0 < before_odds(customs, unit()) < 170.0


def test_kinds_are_learnt_each_by_itself_and_what_is_alike_together() -> None:
    """What doublings tell holds for thumb doublings, and not for taorluaths; grips are by themselves, and strikes after
    other gracenotes."""
    customs = taught(ALL_ON, ENDS_S, 5)
    assert customs.moments_s(unit(Family.THUMB_DOUBLING)) == customs.moments_s(unit(Family.HALF_DOUBLING)) == (ENDS_S,)
    assert customs.moments_s(unit(Family.TAORLUATH))[0] == BEGINS_S
    customs.learn(unit(Family.CRUNLUATH), due(ENDS_S))
    assert customs.moments_s(unit(Family.CRUNLUATH)) == customs.moments_s(unit(Family.TAORLUATH))
    assert customs.moments_s(unit(Family.TAORLUATH))[0] == ENDS_S
    assert customs.moments_s(unit(Family.GRIP))[0] == BEGINS_S
    strike = unit()._replace(kind=kind_of(Family.STRIKE, simple=False))
    for _ in range(3):
        customs.learn(strike, due(ENDS_S))
    assert (customs.moments_s(strike), customs.moments_s(unit(Family.STRIKE))) == ((ENDS_S,), (BEGINS_S,))


def test_what_was_not_played_as_asked_teaches_nothing() -> None:
    """The same holds for a note without gracenotes."""
    customs = Customs(ALL_ON)
    customs.learn(unit(plain=False), due(ENDS_S))
    customs.learn(unit(None), due(ENDS_S))
    assert customs.beat(unit()) == Customs(ALL_ON).beat(unit())
