"""What hands find hard, and in which order movements come of it."""

from __future__ import annotations

from itertools import permutations

import pytest

from fingering.crossings.hardness import WHY, Hard, Hardness, HardnessLevel, hardness
from fingering.crossings.noise import NoiseKind
from fingering.crossings.transition import Transition
from fingering.notes import Note

PAIRS = tuple(permutations(Note, 2))


def hard(start: Note, end: Note) -> Hardness:
    """How hard a change of note is."""
    return hardness(Transition.between(start, end))


@pytest.mark.parametrize(
    ("start", "end", "demands"),
    [
        (Note.LOW_A, Note.B, {Hard.RING_FINGERS}),
        (Note.C, Note.D, set()),
        (Note.LOW_G, Note.E, {Hard.NOISE, Hard.BOTH_HANDS, Hard.RING_FINGERS, Hard.FINGERS}),
        (Note.D, Note.E, {Hard.NOISE, Hard.BOTH_WAYS, Hard.BOTH_HANDS, Hard.RING_FINGERS, Hard.FINGERS}),
        (Note.E, Note.HIGH_A, {Hard.NOISE, Hard.BOTH_WAYS, Hard.THUMB, Hard.RING_FINGERS, Hard.FINGERS}),
        (Note.E, Note.HIGH_G, {Hard.NOISE, Hard.FINGERS}),
    ],
)
def test_the_demands_of_a_movement(start: Note, end: Note, demands: set[Hard]) -> None:
    """From the chart of fingerings (common practice, no source): which fingers move, and which way."""
    assert {demand.hard for demand in hard(start, end).demands} == demands


def test_nineteen_pairs_move_fingers_both_ways_and_six_one_finger_only() -> None:
    """Counted of the 36 pairs of notes (the trade's facts, from the chart)."""
    up = [pair for pair in PAIRS if pair[0] < pair[1]]
    found = [{demand.hard for demand in hard(*pair).demands} for pair in up]
    assert sum(Hard.BOTH_WAYS in demands for demands in found) == 19
    assert sum(Hard.FINGERS not in demands for demands in found) == 6


@pytest.mark.parametrize("pair", PAIRS)
def test_each_demand_has_words_and_a_reason_and_the_heaviest_comes_first(pair: tuple[Note, Note]) -> None:
    """Plain words; the weights add up."""
    found = hard(*pair)
    weights = [demand.weight for demand in found.demands]
    assert weights == sorted(weights, reverse=True)
    assert all(weight > 0.0 for weight in weights)
    assert found.weight == sum(weights)
    assert all(demand.words and demand.why == WHY[demand.hard] for demand in found.demands)


def test_the_map_has_all_four_levels() -> None:
    """None has half of the changes of note, so that the map tells something; the sums differ more than that."""
    levels = [hard(*pair).level for pair in PAIRS]
    assert all(0 < levels.count(level) < 36 for level in HardnessLevel)
    assert len({hard(*pair).weight for pair in PAIRS}) >= 15


def test_what_teachers_find_hard_is_harder() -> None:
    """Crossings of both hands both ways are the hardest, one finger the easiest (common practice, no source)."""
    assert hard(Note.D, Note.E).level is HardnessLevel.VERY_HARD
    assert hard(Note.E, Note.C).level is HardnessLevel.VERY_HARD
    assert hard(Note.HIGH_A, Note.D).level is HardnessLevel.VERY_HARD
    assert hard(Note.E, Note.HIGH_A).level is HardnessLevel.HARD
    assert hard(Note.E, Note.HIGH_G).level is HardnessLevel.FAIR
    assert hard(Note.LOW_A, Note.E).level is HardnessLevel.EASY
    assert all(hard(*pair).level is HardnessLevel.EASY for pair in PAIRS if len(Transition.between(*pair).movers) == 1)


def test_a_lower_note_is_worse_than_one_in_between_and_that_than_a_veil() -> None:
    """Opening first is the lesser evil: it is what teachers ask for (common practice, no source)."""
    weights = {}
    for pair in PAIRS:
        found = hard(*pair)
        if found.noise:
            weights[found.noise.kind] = next(each.weight for each in found.demands if each.hard is Hard.NOISE)
    assert weights[NoiseKind.LOWER] > weights[NoiseKind.BETWEEN] > weights[NoiseKind.VEIL]


def test_more_fingers_of_a_kind_weigh_more() -> None:
    """High A to D moves six fingers and more, C to E four."""
    fingers = [
        next(each for each in hard(*pair).demands if each.hard is Hard.FINGERS)
        for pair in ((Note.LOW_G, Note.B), (Note.D, Note.E), (Note.HIGH_A, Note.D))
    ]
    assert [each.words for each in fingers] == ["two fingers at once", "five fingers at once", "seven fingers at once"]
    assert fingers[0].weight < fingers[1].weight < fingers[2].weight


def test_levels_are_words() -> None:
    """From easy to very hard."""
    assert [level.label for level in HardnessLevel] == ["easy", "fair", "hard", "very hard"]
