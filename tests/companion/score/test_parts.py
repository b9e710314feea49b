"""Bars, parts and phrases of a tune that has been read."""

from __future__ import annotations

from fractions import Fraction

import pytest

from companion.score.phrases import PhraseLetters
from tests.companion.score.reading import complaints, tune_of
from tests.companion.tune_building import note, tune

HEAD = "X:1\nT:t\nM:2/4\nL:1/8\nK:HP\n"


def numbers(music: str) -> list[int]:
    """The numbers of the bars as written."""
    return [bar.number for bar in tune_of(HEAD + music).bars]


def parts(music: str) -> list[tuple[str, list[int]]]:
    """Each part's label with the numbers of its bars."""
    tune = tune_of(HEAD + music)
    return [(part.label, [bar.number for bar in tune.bars[part.first : part.stop]]) for part in tune.parts]


def phrases(music: str, head: str = HEAD) -> list[str]:
    """Each part's phrases: letter and numbers of bars, "a1-2 b3-4"."""
    tune = tune_of(head + music)
    return [
        " ".join(f"{p.letter}{tune.bars[p.first].number}-{tune.bars[p.stop - 1].number}" for p in part.phrases)
        for part in tune.parts
    ]


def test_bars_are_numbered_from_one() -> None:
    """Endings too, each as it is written."""
    assert numbers("A4|B4|1c4:|2d4||e4|]") == [1, 2, 3, 4, 5]


def test_an_opening_pick_up_is_bar_nought() -> None:
    """Whether or not a repeat begins after it."""
    assert numbers("A|B4|c3|]") == [0, 1, 2]
    assert numbers("|:A|B4|c3:|") == [0, 1, 2]


def test_a_tune_of_one_short_bar_has_no_pick_up() -> None:
    """It has to begin somewhere."""
    assert numbers("A|]") == [1]


def test_a_free_metre_has_no_pick_up() -> None:
    """No bar is short in it."""
    assert [bar.number for bar in tune_of("A|B4|").bars] == [1, 2]


@pytest.mark.parametrize(
    "music",
    [
        "A|B4|c3|]",
        "|:A|B4|c3:|",
        "|:A|B4|c3:||:e|f4|g3:|",
        "A|B4|c3||e|f4|g3|]",
        "|:A|B4|1c3:|2c3||e|f4|g3|]",
        "A4|B2:|c2|d4|",
    ],
    ids=[
        "over the tune's end",
        "over a repeat",
        "over two",
        "over a double bar",
        "over endings",
        "a bar cut by a repeat",
    ],
)
def test_short_bars_complete_each_other(music: str) -> None:
    """Over a repeat, a double bar and the tune's end there is nothing to say."""
    assert complaints(HEAD + music) == []


@pytest.mark.parametrize("music", ["A4|B2|c2|d4|", "A4|B2||c4|", "A4|B3:|"], ids=["plain line", "full bar", "repeat"])
def test_short_bars_that_nothing_completes_are_told(music: str) -> None:
    """Two halves with a plain bar line between them are two short bars."""
    assert all("too short" in said for said in complaints(HEAD + music))
    assert complaints(HEAD + music)


def test_a_part_ends_at_a_double_bar_a_thick_one_or_a_repeat() -> None:
    """Without P: they are numbered."""
    assert parts("A4|B4||c4:|d4|]e4|:f4:|") == [("1", [1, 2]), ("2", [3]), ("3", [4]), ("4", [5]), ("5", [6])]


def test_endings_stay_in_their_part() -> None:
    """A repeat sign between two endings ends no part."""
    assert parts("|:A4|1B4:|2c4||d4|]") == [("1", [1, 2, 3]), ("2", [4])]


def test_a_pick_up_belongs_to_the_part_that_it_leads_into() -> None:
    """Even where a repeat begins between them."""
    assert parts("e|:A4|B3:|e|:c4|d3:|") == [("1", [0, 1, 2]), ("2", [3, 4, 5])]


def test_parts_are_labelled_by_the_body() -> None:
    """Then bar lines cut nothing."""
    assert parts("P:A\nA4||B4|\nP:C\nc4:|") == [("A", [1, 2]), ("C", [3])]


def test_what_stands_before_the_first_label_is_an_introduction() -> None:
    """Unless it is a pick-up."""
    assert parts("A4|\nP:A\nB4|") == [("intro", [1]), ("A", [2])]
    assert parts("A|\nP:A\nB3|") == [("A", [0, 1])]


def test_phrases_are_two_bars_and_share_letters_when_they_are_alike() -> None:
    """Across parts as well."""
    assert phrases("A4|B4|c4|d4|A4|B4|e4|f4:|c4|d4|e4|g4|]") == ["a1-2 b3-4 a5-6 c7-8", "b9-10 d11-12"]


def test_a_gracenote_makes_another_phrase() -> None:
    """Phrases that differ in a gracenote or in rhythm have different letters; phrases played alike share one."""
    assert phrases("A4|B4|{g}A4|B4|A4|B2B2|A4|B4|") == ["a1-2 b3-4 c5-6 a7-8"]


def test_a_pick_up_joins_the_phrase_after_it_and_does_not_change_its_letter() -> None:
    """The first phrase comes back without it."""
    assert phrases("e|A4|B4|c4|d4|A4|B4|c4|d3|]") == ["a0-2 b3-4 a5-6 c7-8"]


def test_a_short_last_bar_fills_its_phrase() -> None:
    """The next part's pick-up does not slip into it."""
    assert phrases("P:A\n|:e|A4|B4|c4|d3:|e|c4|d4|A4|B3|]") == ["a0-2 b3-4 c5-7 d8-9"]


def test_all_endings_belong_to_one_phrase() -> None:
    """They are ways to end it."""
    assert phrases("|:A4|B4|c4|1d4:|2e4||f4|g4|]") == ["a1-2 b3-5", "c6-7"]
    assert phrases("|:A4|B4|1c4|d4:|2e4|f4||g4|a4|]") == ["a1-2 b3-6", "c7-8"]


@pytest.mark.parametrize("mark", ["!shortphrase!", "!mediumphrase!", "!longphrase!"])
def test_phrase_marks_are_believed(mark: str) -> None:
    """A mark ends the phrase after its bar (ABC 2.1 section 4.14 lists the three)."""
    assert phrases(f"A4|B4|c4{mark}|d4|{mark}e4|f4|]") == ["a1-3 b4-4 c5-6"]
    assert [bar.ends_phrase for bar in tune_of(f"{HEAD}A4|B4{mark}|c4|").bars] == [False, True, False]


def test_a_free_metre_counts_bars() -> None:
    """Each is a full one."""
    assert phrases("A9|B|c5|d|", "") == ["a1-2 b3-4"]


def test_letters_go_on_after_z() -> None:
    """aa, ab, ..."""
    letters = PhraseLetters()
    bars = [tune([note("A", Fraction(i + 1, 8))]).bars for i in range(28)]
    assert [letters.of(each) for each in bars][-3:] == ["z", "aa", "ab"]
