"""Feet, likeness, parts, votes: the pieces that a notating is made of."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.notate.form.likeness import TakeLikeness
from companion.notate.form.metre import find_metres
from companion.notate.form.parts import find_form
from companion.notate.form.voting import vote
from companion.notate.pulse.counted import CountedNote, CountedTake
from companion.notate.pulse.feet import FEET_OF_THREE, FEET_OF_TWO, TICKS, FootKind
from fingering.notes import Note

SCALE = list(Note)


def take_of(pitches: list[int], length: int = TICKS) -> CountedTake:
    """Notes of one foot each."""
    notes = tuple(CountedNote(SCALE[pitch], (), rank * length, length) for rank, pitch in enumerate(pitches))
    return CountedTake(FootKind.TWO, notes)


@pytest.mark.parametrize("habits", [FEET_OF_TWO, FEET_OF_THREE])
def test_what_a_player_does_becomes_likelier(habits: object) -> None:
    """What a player does grows likelier, and what he never does less likely, at the same place in the foot."""
    assert habits in (FEET_OF_TWO, FEET_OF_THREE)
    feet = FEET_OF_TWO if habits is FEET_OF_TWO else FEET_OF_THREE
    often, never = [length for place, length in feet.steps if place == 0][:2]
    learnt = feet.learnt([(0, often)] * 50)
    assert learnt.steps[0, often] < feet.steps[0, often]
    assert learnt.steps[0, never] > feet.steps[0, never]


def test_a_dotted_pair_is_like_an_even_one_but_not_like_other_notes() -> None:
    """So that a repeat is found where its pointing was heard otherwise."""
    even = [CountedNote(Note.B, (), 0, 6), CountedNote(Note.C, (), 6, 6)]
    dotted = [CountedNote(Note.B, (), 12, 9), CountedNote(Note.C, (), 21, 3)]
    other = [CountedNote(Note.E, (), 24, 6), CountedNote(Note.F, (), 30, 6)]
    likeness = TakeLikeness(CountedTake(FootKind.TWO, (*even, *dotted, *other)))
    assert likeness.apart(0, 12, TICKS) == 0.0
    assert likeness.apart(0, 24, TICKS) == 1.0


def test_a_part_of_eight_bars_is_found_with_its_repeat() -> None:
    """Not as half of it four times, nor as one of sixteen."""
    part = [(3 * bar + beat * beat) % 9 for bar in range(8) for beat in range(4)]
    (found,) = find_form(take_of([*part, *part]), 4).parts
    assert (found.bars, found.plays, found.endings) == (8, 2, 0)


def test_a_repeat_that_ends_otherwise_has_endings() -> None:
    """The last bar alone."""
    part = [(3 * bar + beat * beat) % 9 for bar in range(8) for beat in range(4)]
    (found,) = find_form(take_of([*part, *part[:-4], 0, 5, 1, 6]), 4).parts
    assert (found.bars, found.plays, found.endings) == (8, 2, 1)


@pytest.mark.parametrize(("bars", "feet"), [(8, 2), (8, 4)])
def test_bars_are_as_long_as_makes_parts_of_eight(bars: int, feet: int) -> None:
    """A march in 2/4 from one in 4/4: by no accent, since each foot is one note. Common practice, no source."""
    part = [(5 * foot + foot * foot // 3) % 9 for foot in range(bars * feet)]
    other = [(7 * foot + foot * foot // 5) % 9 for foot in range(bars * feet)]
    assert find_metres(take_of([*part, *part, *other, *other]))[0].feet == feet


@pytest.mark.parametrize(("even_bars", "metre"), [(0, "2/4"), (3, "C|")])
def test_a_quick_reel_mixes_even_pairs_with_dotted_ones(even_bars: int, metre: str) -> None:
    """At 140 feet a minute a march in 2/4 points nearly all of its pairs. Common practice, no source."""
    notes: list[CountedNote] = []
    for foot in range(64):
        long = 6 if foot % 32 // 4 < even_bars else 9
        high, low = (foot % 32 + foot % 32 // 5) % 9, (foot % 32) * 7 % 9
        notes.append(CountedNote(SCALE[high], (), foot * TICKS, long, foot_s=60 / 140))
        notes.append(CountedNote(SCALE[low], (), foot * TICKS + long, TICKS - long, foot_s=60 / 140))
    assert find_metres(CountedTake(FootKind.TWO, tuple(notes)))[0].meter.text == metre


def test_an_embellished_beat_is_hardly_a_pick_up() -> None:
    """A doubling makes it dearer that the first note precedes the first bar. Common practice, no source."""
    plain = take_of([(3 * (foot % 32) + foot % 4) % 9 for foot in range(64)])
    doubled = replace(plain.notes[0], graces=(Note.HIGH_G, Note.LOW_A, Note.D))
    embellished = replace(plain, notes=(doubled, *plain.notes[1:]))
    costs = [
        min(each.cost for each in find_metres(take) if (each.feet, each.pick_up) == (4, TICKS))
        for take in (plain, embellished)
    ]
    assert costs[0] + 0.5 < costs[1]


def test_most_versions_decide_and_the_others_are_told() -> None:
    """Two even pairs against a dotted one."""
    even = (CountedNote(Note.B, (), 0, 6), CountedNote(Note.C, (), 6, 6))
    dotted = (CountedNote(Note.B, (), 0, 9), CountedNote(Note.C, (), 9, 3))
    voted = vote([dotted, even, even], TICKS)
    assert [note.length for note in voted.notes] == [6, 6]
    assert [[note.length for note in other] for each in voted.differing for other in each.others] == [[9, 3]]


def test_bars_elsewhere_have_a_say_on_lengths() -> None:
    """Where two versions differ, what is like them decides."""
    even = (CountedNote(Note.B, (), 0, 6), CountedNote(Note.C, (), 6, 6))
    dotted = (CountedNote(Note.B, (), 0, 9, 0.0), CountedNote(Note.C, (), 9, 3, 0.0))
    assert vote([even, dotted], TICKS, [[dotted]]).notes[1].length == 3
    assert vote([dotted, even], TICKS, [[even]]).notes[1].length == 6
