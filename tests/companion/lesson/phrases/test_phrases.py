"""What is a phrase of a tune, and what it is called."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.lesson.model.phrases import Likeness, PhraseEnd, TunePlan
from companion.lesson.phrases import plan_of
from companion.score.abc import read_abc_text
from companion.score.model import Tempo, Tune
from fingering.notes import Note
from tests.companion.lesson.phrases.made_tunes import made_tune

pytestmark = pytest.mark.same_everywhere

JIG = "X:1\nT:Test\nM:6/8\nL:1/8\nK:HP\n"
# Phrases that have nothing in common: made up here.
A, B, C, D = "ABc dBG|ABc e2f", "fag fed|cde g2B", "agf gfe|cAG BGB", "GdG BdB|ecA A3"


def tune_of(music: str, head: str = JIG) -> Tune:
    """A tune of that music."""
    return read_abc_text(f"{head}{music}\n").tunes[0]


def plan(music: str, head: str = JIG) -> TunePlan:
    """The plan of a tune of that music."""
    return plan_of(tune_of(music, head))


def bars(found: TunePlan) -> list[tuple[int, int]]:
    """First bar and the bar after the last of each phrase, as indices."""
    return [(phrase.first, phrase.stop) for phrase in found.phrases]


def test_eight_bars_are_four_phrases_of_which_the_first_comes_back() -> None:
    """Question, answer, question, end."""
    found = plan(f"|:{A}|{B}|{A}|{D}:|")
    assert found.line == "A B A C"
    assert bars(found) == [(0, 2), (2, 4), (4, 6), (6, 8)]


def test_a_phrase_that_comes_back_is_the_same_as_the_first() -> None:
    """And nothing differs."""
    third = plan(f"|:{A}|{B}|{A}|{D}:|").phrases[2]
    assert (third.like, third.likeness, third.differences) == ("A", Likeness.SAME, ())


@pytest.mark.parametrize(
    ("variant", "likeness", "words"),
    [
        ("ABc dBG|ABc {g}e2f", Likeness.OTHER_GRACENOTES, "bar 6 has G gracenote on E where bar 2 has E"),
        ("ABc dcG|ABc e2f", Likeness.FEW_NOTES, "bar 5 has C where bar 1 has B"),
        ("ABc dBG|ABc a2g", Likeness.OTHER_ENDING, "bar 6 has high A, high G where bar 2 has E, F"),
        (
            "ABc dBG|ABc ef2",
            Likeness.OTHER_POINTING,
            "bar 6 has shorter E, longer F where bar 2 has longer E, shorter F",
        ),
    ],
)
def test_a_variant_has_a_stroke_and_says_what_is_otherwise(variant: str, likeness: Likeness, words: str) -> None:
    """Each kind of likeness, in words."""
    found = plan(f"|:{A}|{B}|{variant}|{D}:|")
    third = found.phrases[2]
    assert found.line == "A B A' C"
    assert (third.like, third.likeness, [each.words for each in third.differences]) == ("A", likeness, [words])


def test_a_difference_names_the_notes_of_both_phrases() -> None:
    """By their ranks, so that a picture can mark them."""
    found = tune_of(f"|:{A}|{B}|ABc dcG|ABc e2f|{D}:|")
    (difference,) = plan_of(found).phrases[2].differences
    assert [found.notes[rank].note for rank in difference.notes] == [Note.B, Note.C]


def test_another_ending_in_the_last_bar_is_a_variant() -> None:
    """The whole second bar is another one: the same question, answered otherwise."""
    assert plan(f"|:{A}|{B}|ABc dBG|fga A3|{D}:|").line == "A B A' C"


def test_the_same_rhythm_alone_is_a_new_phrase_and_is_told() -> None:
    """A letter of its own, with the phrase whose rhythm it has."""
    third = plan(f"|:A3 c>de|f2e d3|{B}|g3 B>Ga|d2A e3|{D}:|").phrases[2]
    assert (third.name, third.like, third.likeness, third.differences) == ("C", "A", Likeness.SAME_RHYTHM, ())


def test_a_pick_up_belongs_to_the_phrase_that_it_leads_into() -> None:
    """Its bar, before each part; and inside a part the last note of the bar before does not count for the name."""
    found = plan("|:e|ABc dBG|ABc e2f|fag fed|cde g2e|ABc dBG|ABc e2a|GdG BdB|ecA A2:|")
    assert bars(found)[0] == (0, 3)
    assert found.line == "A B A C"


def test_a_phrase_holds_both_its_endings() -> None:
    """The second ending stands after the first one and is of the same phrase."""
    found = plan(f"|:{A}|{B}|{A}|GdG BdB|1 ecA A2B:|2 ecA A3|]\n|:{C}|{B}|{C}|{D}:|")
    assert bars(found) == [(0, 2), (2, 4), (4, 6), (6, 9), (9, 11), (11, 13), (13, 15), (15, 17)]
    assert found.phrases[3].end is PhraseEnd.HOME


def test_endings_of_two_bars_are_phrases_of_their_own() -> None:
    """Where the first of them is one."""
    found = plan(f"|:{A}|{B}|{A}|1 {C}:|2 {D}|]")
    assert bars(found) == [(0, 2), (2, 4), (4, 6), (6, 8), (8, 10)]
    assert found.line == "A B A C D"


def test_marks_of_phrases_count_more_than_what_is_found() -> None:
    """Where the writer marked phrases of four bars, they are of four bars."""
    assert bars(plan(f"|:{A}|{B[:-1]}!longphrase!B|{A}|{D}:|")) == [(0, 4), (4, 8)]


def test_parts_hold_whole_phrases() -> None:
    """A phrase never reaches over the end of a part."""
    found = plan(f"|:{A}|{B}|{A}|{D}:|\n|:{C}|{B}|{C}|{D}:|")
    assert found.parts == (range(4), range(4, 8))
    assert [phrase.letter for phrase in found.as_phrases(1)] == ["D", "B", "D", "C"]


def test_long_phrases_are_found_in_long_parts() -> None:
    """Sixteen bars of which eight come back by fours."""
    long = "A3 c>de|f2e d3|gaf g2f|eag B3"
    other = "B3 d2f|e>dc B2A|GBd gdB|c2e A3"
    assert bars(plan(f"|:{long}|{other}|{long}|{other}:|")) == [(0, 4), (4, 8), (8, 12), (12, 16)]


def test_a_phrase_is_at_home_on_the_note_on_which_the_parts_end() -> None:
    """Held, on a beat; the same note in passing, or an octave above, leaves it open."""
    found = plan("|:ABc dBG|ABc A3|fag fed|cde a3|ABc dBG|ABA GAB|GdG BdB|ecA A3:|")
    assert [phrase.end.value for phrase in found.phrases] == ["home", "open", "open", "home"]


def test_a_tune_may_be_at_home_on_another_note() -> None:
    """D, where its parts end on D."""
    found = plan("|:ABc dBG|ABc A3|fag fed|cde d3:|")
    assert [phrase.end.value for phrase in found.phrases] == ["open", "home"]


def test_a_tune_of_one_bar_is_one_phrase() -> None:
    """However it is written."""
    assert plan("ABc").line == "A"


seeds = st.integers(0, 400)


@settings(max_examples=40, deadline=None)
@given(seeds, st.lists(st.integers(0, 400), max_size=30))
def test_phrases_cover_the_bars_once_whatever_is_played(seed: int, order: list[int]) -> None:
    """Without holes or overlaps, in any order of playing; and parts the phrases."""
    tune = made_tune(seed).tune
    played = tuple(each % len(tune.bars) for each in order) or tune.order
    found = plan_of(replace(tune, order=played))
    assert [i for phrase in found.phrases for i in phrase.bars] == list(range(len(tune.bars)))
    assert [i for part in found.parts for i in part] == list(range(len(found.phrases)))


def played_alike(tune: Tune, first: int, stop: int) -> list[list[tuple[object, ...]]]:
    """The bars of a phrase as what is sounded in them."""
    return [[(each.note, each.duration, each.gracenotes) for each in bar.notes] for bar in tune.bars[first:stop]]


@settings(max_examples=40, deadline=None)
@given(seeds)
def test_the_same_bars_have_the_same_name(seed: int) -> None:
    """Wherever they stand in the tune."""
    tune = made_tune(seed).tune
    phrases = plan_of(tune).phrases
    for one in phrases:
        for other in phrases:
            if played_alike(tune, one.first, one.stop) == played_alike(tune, other.first, other.stop):
                assert one.name == other.name


def shifted(tune: Tune, steps: int) -> Tune:
    """The tune so many notes of the chanter higher; gracenotes as they were."""
    moved = [
        bar._replace(
            notes=tuple(
                each if each.note is None else each._replace(note=Note(each.note + steps)) for each in bar.notes
            )
        )
        for bar in tune.bars
    ]
    return replace(tune, bars=tuple(moved))


@settings(max_examples=40, deadline=None)
@given(seeds, st.integers(-8, 8))
def test_transposing_changes_nothing(seed: int, steps: int) -> None:
    """As far as all notes stay on the chanter."""
    tune = made_tune(seed).tune
    pitches = [each.note for each in tune.notes if each.note is not None]
    steps = max(-min(pitches), min(8 - max(pitches), steps))
    before, after = plan_of(tune).phrases, plan_of(shifted(tune, steps)).phrases
    assert [(p.name, p.first, p.stop, p.end) for p in before] == [(p.name, p.first, p.stop, p.end) for p in after]


@settings(max_examples=20, deadline=None)
@given(seeds, st.integers(30, 200))
def test_the_tempo_changes_nothing(seed: int, beats: int) -> None:
    """Phrases are of the notes alone."""
    tune = made_tune(seed).tune
    tempo = Tempo(Fraction(1, 4), float(beats))
    faster = replace(tune, tempo=tempo, bars=tuple(bar._replace(tempo=tempo) for bar in tune.bars))
    assert plan_of(faster) == plan_of(tune)
