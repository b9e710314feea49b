"""Pairs of a long and a short note: which are pointed, and how sharply a player points them."""

from __future__ import annotations

import pytest

from companion.listen.model.strictness import Strictness
from companion.listen.rhythm.heard import BeatHeard
from companion.listen.rhythm.pointing import Pair, Pointedness, pairs, ratio_words, unpointed
from companion.listen.rhythm.pulse import Due
from tests.companion.listen.playing import asked_of

USUAL = Strictness.USUAL.limits
LONG_FIRST, SHORT_FIRST = Pair(0, 3.0), Pair(0, 1.0 / 3.0)


# --- which pairs are pointed ---


@pytest.mark.parametrize(
    ("music", "firsts"),
    [
        ("A>B c>d e>d c>B|", [0, 2, 4, 6]),
        ("A<B c<d e4|", [0, 2]),
        ("A2Bc d2ef|", []),
        ("ABcd e2d2|", []),
        ("A>B z2 A>B c2|", [0, 3]),
        ("B/2A3/2 d3/2c/2 e4|", [0, 2]),
        ("d/2c/2B/2A/2 B3/2c/2d2e2|", [4]),
        ("A2B2c2d3/2|e/2f2d2c2|", []),
        ("A11/16B21/16c2d2e2|", [0]),
    ],
)
def test_a_pair_is_pointed_within_one_beat(music: str, firsts: list[int]) -> None:
    """One note at least nearly twice as long as the other; over a beat's or a bar's edge it is rhythm, not pointing."""
    assert list(pairs(asked_of(music))) == firsts


@pytest.mark.parametrize(
    ("music", "ratio"), [("A>B c2d2e2|", 3.0), ("A<B c2d2e2|", 1.0 / 3.0), ("A4/3B2/3c2d2e2|", 2.0)]
)
def test_the_ratio_is_what_is_written(music: str, ratio: float) -> None:
    """Of the first note to the second."""
    assert pairs(asked_of(music))[0].ratio == pytest.approx(ratio)


def test_a_pick_up_ends_on_the_bar_line() -> None:
    """A dotted pair that makes one crotchet."""
    assert list(pairs(asked_of("d>c|B2A2d2c2|"))) == [0]
    assert list(pairs(asked_of("A d>c|B2A2d2c2|"))) == [1]


# --- whether a pair was pointed ---


def beats(first_s: float, second_s: float, noise_s: float = 0.001) -> list[BeatHeard]:
    """Three beats so far apart, each due when it came."""
    moments_s = (10.0, 10.0 + first_s, 10.0 + first_s + second_s)
    return [
        BeatHeard(played, at_s, (at_s,), Due(at_s, 0.0, noise_s, noise_s), False)
        for played, at_s in enumerate(moments_s)
    ]


@pytest.mark.parametrize("pair", [LONG_FIRST, SHORT_FIRST, Pair(0, 21.0 / 11.0), Pair(0, 11.0 / 21.0)])
def test_a_pair_is_too_even_from_the_limit_on(pair: Pair) -> None:
    """1.45 times more even than written; sharper is never too even."""
    for times, told in ((1.44, False), (1.46, True), (3.0, True), (0.5, False)):
        ratio = pair.ratio / times if pair.ratio > 1.0 else pair.ratio * times
        first_s = ratio / (1.0 + ratio)
        found = unpointed(pair, beats(first_s, 1.0 - first_s), USUAL)
        assert (found is not None) is told
        if found is not None:
            assert found.ratio == pytest.approx(ratio)
            due_s = pair.ratio / (1.0 + pair.ratio)
            assert found.off_s == pytest.approx(first_s - due_s)


@pytest.mark.parametrize(("noise_s", "told"), [(0.0765, True), (0.0779, False)])
def test_who_strays_much_may_be_too_even_by_chance(noise_s: float, told: bool) -> None:
    """The middle of a pair of 3:1 strays 1.275 times as far as one note, by its own and its neighbours' share: a
    quarter of a second is LEAST_SPREADS of that, less for one side (by hand)."""
    assert (unpointed(LONG_FIRST, beats(0.5, 0.5, noise_s), USUAL) is not None) is told


@pytest.mark.parametrize(("known_s", "told"), [(0.0545, True), (0.057, False)])
def test_a_pair_is_too_even_by_the_pulse_as_well(known_s: float, told: bool) -> None:
    """A second note a quarter of a second before it was due, known to hypot(0.081, 0.0558) s, is 2.54 of that off:
    LEAST_SPREADS, less for one side."""
    one, two, three = beats(0.5, 0.5, 0.081)
    due = two._replace(due=Due(two.at_s + 0.25, known_s, 0.081, 0.081))
    assert (unpointed(LONG_FIRST, [one, due, three], USUAL) is not None) is told


def test_a_beat_off_its_time_counts_where_it_was_due() -> None:
    """The first note a fifth of a second late, and the pair is pointed all the same."""
    one, two, three = beats(0.75, 0.25)
    late = BeatHeard(0, 10.3, (10.3,), one.due, True)
    assert unpointed(LONG_FIRST, [late, two, three], USUAL) is None
    believed = BeatHeard(0, 10.3, (10.3,), one.due, False)
    assert unpointed(LONG_FIRST, [believed, two, three], USUAL) is not None


def test_a_pair_is_too_even_only_if_it_is_so_by_every_moment_that_may_be_meant() -> None:
    """An embellishment may end on the beat or begin on it."""
    one, two, three = beats(0.5, 0.5)
    either = BeatHeard(1, 10.5, (10.5, 10.75), two.due, False)
    assert unpointed(LONG_FIRST, [one, either, three], USUAL) is None
    both = BeatHeard(1, 10.5, (10.5, 10.55), two.due, False)
    found = unpointed(LONG_FIRST, [one, both, three], USUAL)
    assert found is not None
    assert found.ratio == pytest.approx(1.0)


@pytest.mark.parametrize("first_s", [0.0005, 0.9995, 0.0, 1.0])
def test_what_came_at_one_moment_is_no_pair(first_s: float) -> None:
    """Within a millisecond."""
    assert unpointed(SHORT_FIRST if first_s > 0.5 else LONG_FIRST, beats(first_s, 1.0 - first_s), USUAL) is None


def test_what_came_more_than_a_millisecond_apart_is_one() -> None:
    """A dotted note cut to 1.5 ms is no longer than the other, and so too even."""
    assert unpointed(LONG_FIRST, beats(0.0015, 1.0), USUAL) is not None


# --- how a player points ---


def habit(ratio: float, times: int, pair: Pair = LONG_FIRST) -> Pointedness:
    """Of one who plays such pairs in this ratio."""
    known = Pointedness()
    for _ in range(times):
        known.learn(pair, ratio)
    return known


def test_of_a_stranger_pairs_are_expected_as_written() -> None:
    """Give or take 15 % of the ratio: for a pair of a second, 3:1, that is 28 ms (by hand)."""
    for pair in (LONG_FIRST, SHORT_FIRST):
        shift_s, unsure_s = Pointedness().shift(pair, 1.0)
        assert shift_s == pytest.approx(0.0)
        assert unsure_s == pytest.approx(0.15 * 3.0 / 16.0)
        assert Pointedness().shift(pair, 2.0)[1] == pytest.approx(2.0 * unsure_s)


@pytest.mark.parametrize(
    ("pair", "ratio"), [(LONG_FIRST, 4.0), (LONG_FIRST, 2.4), (SHORT_FIRST, 0.25), (Pair(0, 11.0 / 21.0), 0.4)]
)
def test_a_habit_is_learnt(pair: Pair, ratio: float) -> None:
    """After a score of pairs the second note is expected where the player puts it."""
    shift_s, unsure_s = habit(ratio, 20, pair).shift(pair, 1.0)
    assert shift_s == pytest.approx(ratio / (1.0 + ratio) - pair.ratio / (1.0 + pair.ratio), abs=0.003)
    assert unsure_s < 0.5 * Pointedness().shift(pair, 1.0)[1]


def test_the_first_pair_tells_more_than_half() -> None:
    """By hand: 15 % of doubt against 12 % by which pairs stray."""
    shift_s, _ = habit(4.0, 1).shift(LONG_FIRST, 1.0)
    ratio = 3.0 * (4.0 / 3.0) ** (0.15**2 / (0.15**2 + 0.12**2))
    assert shift_s == pytest.approx(ratio / (1.0 + ratio) - 0.75, rel=0.02)


def test_a_habit_may_change() -> None:
    """After a hundred pairs 3:1, some ten of 4:1 are most of the way to it."""
    known = habit(3.0, 100)
    shifts_s = []
    for _ in range(12):
        known.learn(LONG_FIRST, 4.0)
        shifts_s.append(known.shift(LONG_FIRST, 1.0)[0] / 0.05)
    assert shifts_s[0] == pytest.approx(0.17, abs=0.03)
    assert 0.8 < shifts_s[-1] < 0.95


def test_habits_with_the_long_note_first_and_the_short_one_are_two() -> None:
    """What one tells does not hold for the other."""
    assert habit(4.0, 20).shift(SHORT_FIRST, 1.0) == pytest.approx(Pointedness().shift(SHORT_FIRST, 1.0))


@pytest.mark.parametrize(("times", "slip"), [(0.54, True), (0.56, False), (1.8, False), (1.84, True)])
def test_a_pair_far_from_the_writing_is_a_slip_and_no_habit(times: float, slip: bool) -> None:
    """From some 1.8 times on, either way: it teaches nothing, and pairs are not trusted for the pulse any more."""
    known = habit(3.0 * times, 1)
    assert known.trusted(LONG_FIRST) is not slip
    assert (known.shift(LONG_FIRST, 1.0)[0] == pytest.approx(0.0)) is slip


def test_trust_comes_back_with_pairs_that_are_pointed() -> None:
    """A stranger is trusted; one slip costs the trust, and one pair as written brings it back."""
    assert Pointedness().trusted(LONG_FIRST)
    known = habit(1.0, 1)
    assert not known.trusted(LONG_FIRST)
    known.learn(LONG_FIRST, 3.0)
    assert known.trusted(LONG_FIRST)


def test_mistrust_has_an_end() -> None:
    """However often it went wrong, by hand: 60 % of doubt, a pair of a second 3:1."""
    for times, unsure in ((1, 0.40), (2, 0.60), (9, 0.60)):
        assert habit(1.0, times).shift(LONG_FIRST, 1.0)[1] == pytest.approx(unsure * 3.0 / 16.0)


@pytest.mark.parametrize(
    ("ratio", "words"),
    [(3.0, "3:1"), (1.0, "1:1"), (1.0 / 2.4, "1:2.4"), (2.44, "2.4:1"), (99.4, "99.4:1"), (120.4, "120:1")],
)
def test_ratios_have_the_smaller_as_one(ratio: float, words: str) -> None:
    """A decimal where it is not nought."""
    assert ratio_words(ratio) == words


def test_of_few_pairs_the_one_played_even_by_a_slip_makes_no_habit_of_a_whole_take() -> None:
    """Of three pairs the last was even: all together they show less than a third of the habit that was learnt as
    they came."""
    pointedness, pair = Pointedness(), Pair(0, 2.0)
    for played in (2.0, 2.0, 1.15):
        pointedness.learn(pair, played)
    learnt, fitted = pointedness.shift(pair, 1.0), pointedness.fitted().shift(pair, 1.0)
    assert learnt[0] < 3.0 * fitted[0] < 0.0


def test_a_habit_of_a_whole_take_is_what_all_its_pairs_show() -> None:
    """Three to one where two to one is asked, twelve times: nine tenths of it at least."""
    pointedness, pair = Pointedness(), Pair(0, 2.0)
    for _ in range(12):
        pointedness.learn(pair, 3.0)
    assert pointedness.fitted().shift(pair, 1.0)[0] == pytest.approx(3.0 / 4.0 - 2.0 / 3.0, rel=0.1)
