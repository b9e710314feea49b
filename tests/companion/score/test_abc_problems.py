"""What is said of mistakes: place, what is wrong, what to do; and the rest of the tune is there."""

from __future__ import annotations

import pytest

from companion.score.abc import read_abc_text
from companion.score.form.problems import MOST_PROBLEMS
from tests.companion.score.reading import complaints, order, spell, tune_of, whole
from tests.companion.score.said_of_fields import SAID_OF_FIELDS
from tests.companion.score.said_of_music import HEAD, SAID_OF_MUSIC

SAID = {**SAID_OF_MUSIC, **SAID_OF_FIELDS}


@pytest.mark.parametrize("abc", SAID)
def test_what_is_said(abc: str) -> None:
    """Each mistake is told once, at its place, with a remedy."""
    assert complaints(abc) == SAID[abc]


@pytest.mark.parametrize("abc", SAID)
def test_the_rest_can_still_be_played(abc: str) -> None:
    """Whatever is wrong, the tune is there with at least a note."""
    outside = "[DE]" in abc or "C D E F" in abc
    assert outside or any(note.note is not None for note in tune_of(abc).notes)


def test_a_tune_without_key_or_music_says_both() -> None:
    """The header is never closed, and there is nothing to play."""
    assert read_abc_text("X:1\nT:t\n").tunes == ()
    assert [problem.what for problem in read_abc_text("X:1\nT:t\n").problems] == [
        "the tune has no key, so the pipe scale is taken",
        "the tune holds no music",
    ]


def test_without_a_key_the_music_is_still_found() -> None:
    """The first line with a bar line begins it, under K:HP."""
    assert spell("X:1\nT:t\nL:1/8\nA c|\n%K:\n") == "A1 c1"


def test_a_note_left_out_leaves_its_time() -> None:
    """A rest keeps the rest of the tune in place."""
    assert spell("A D2 c|") == "A1 z2 c1"


def test_a_bar_with_something_unreadable_is_not_measured() -> None:
    """One mistake is told once, not again as a bar too long or too short."""
    assert len(complaints(f"{HEAD}A4|{{gA2B2|A4|")) == 1


def test_bars_after_a_rest_of_several_are_measured_by_their_own_metre() -> None:
    """A long rest asks for the length of all its bars, the bar after it for that of one."""
    assert complaints(f"{HEAD}A4|Z2|B4|c4|]") == []
    assert len(complaints(f"{HEAD}A4|Z2|B3|c4|]")) == 1


def test_an_absent_part_leaves_the_others() -> None:
    """The plan goes on without it."""
    assert order("X:1\nT:t\nL:1/8\nP:ACB\nK:HP\nP:A\nA|\nP:B\nB|") == "AB"


def test_a_plan_beyond_measure_plays_the_parts_once() -> None:
    """Nothing is unfolded that does not fit."""
    assert order("X:1\nT:t\nL:1/8\nP:((AB)9999)9999\nK:HP\nP:A\nA|\nP:B\nB|") == "AB"


def test_a_plan_is_measured_in_bars_not_parts() -> None:
    """15,000 times a part of two bars is too much, of one is not."""
    head = "X:1\nT:t\nL:1/8\nP:A15000\nK:HP\nP:A\n"
    assert len(tune_of(f"{head}A|").order) == 15000
    assert len(tune_of(f"{head}A|B|").order) == 2


def test_repeats_beyond_measure_are_cut_off() -> None:
    """2,000 bars that are played 64 times over are more than fits, and are played once."""
    abc = 2000 * "A|" + " " + 70 * ":" + "|"
    assert complaints(abc) == [
        "E performance-too-long 1:1: repeats and rests make this longer than 20,000 bars, "
        "so it is played without repeats; repeat less"
    ]
    assert len(order(abc)) == 2000


def test_rests_beyond_measure_are_cut_off() -> None:
    """A rest of 500 bars weighs 500 bars, so that forty of them fit."""
    abc = 1200 * "Z500|"
    assert [said.split()[1] for said in complaints(abc)] == ["performance-too-long"]
    assert order(abc) == 40 * "z"


def test_a_rest_of_many_bars_is_one_bar_that_counts_for_all() -> None:
    """The bar after it is numbered accordingly."""
    assert [bar.number for bar in tune_of("X:1\nT:t\nM:2/4\nL:1/8\nK:HP\nA4|Z3|B4|").bars] == [1, 2, 5]


def test_notes_outside_are_said_once_a_tune() -> None:
    """However many there are, with their number."""
    said = complaints(5000 * "D|")
    assert len(said) == 1
    assert "'D' under K:HP (5000 times in this tune)" in said[0]


def test_a_million_mistakes_are_not_all_told() -> None:
    """The first ones are, and how many more there are."""
    said = complaints("A0|" * 2500)
    assert len(said) == MOST_PROBLEMS + 1
    assert said[-1].startswith("W many-problems ")
    assert said[-1].endswith("500 more problems follow (500 of them errors); put right the ones above first")


def test_an_error_after_a_thousand_warnings_is_told() -> None:
    """A tune that has one must not pass as sound."""
    said = complaints("+x+A|" * 2500 + "A0|")
    assert [each.split()[1] for each in said if each.startswith("E")] == ["length-unreadable"]


def test_no_tune_hides_what_is_wrong_in_another() -> None:
    """Each has problems of its own, and all of its notes."""
    noisy = "X:{}\nT:t\nM:none\nL:1/8\nK:HP\n" + 600 * "+x+A c|" + "\n\n"
    book = read_abc_text("".join(noisy.format(number) for number in range(1, 8)))
    assert [len(book.problems_of(tune)) for tune in book.tunes] == 7 * [600]
    assert [len(tune.notes) for tune in book.tunes] == 7 * [1200]


def test_problems_stand_in_the_order_of_the_text() -> None:
    """A tie is judged last, but told in its place."""
    assert [said.split(":")[1] for said in complaints("A-B D|")] == ["1", "5"]


def test_every_problem_is_one_line() -> None:
    """Whatever the text holds."""
    assert all(len(said.splitlines()) == 1 for said in complaints(whole("A \x0b\x0c\x85\u2028 B|")))
