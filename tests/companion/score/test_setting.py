"""A tune as it is written in another setting."""

from __future__ import annotations

from fractions import Fraction

from companion.score.setting import Change, in_setting, setting_to_data, setting_words, with_further
from fingering.notes import Note
from tests.companion.listen.playing import tune_of

TUNE = tune_of("{g}A2{d}B2c4|{gde}d4e4|")


def letters(setting: tuple[Change, ...]) -> str:
    """The melody in a setting, rests as z."""
    return "".join("z" if each.note is None else each.note.letter for each in in_setting(TUNE, setting).notes)


def test_without_changes_a_tune_is_as_it_is_written() -> None:
    """The very same."""
    assert in_setting(TUNE, ()) is TUNE


def test_a_note_is_another_with_its_gracenotes() -> None:
    """Its length and place stay."""
    changed = in_setting(TUNE, (Change(3, Note.D, Note.E, (Note.HIGH_G, Note.E, Note.F)),)).notes[3]
    assert (changed.note, changed.gracenotes) == (Note.E, (Note.HIGH_G, Note.E, Note.F))
    assert (changed.duration, changed.place) == (TUNE.notes[3].duration, TUNE.notes[3].place)


def test_the_note_before_lasts_on_over_what_is_left_out() -> None:
    """Also over a bar line; at the beginning of the tune there is a rest."""
    assert letters((Change(1, Note.B, None),)) == "AAcde"
    assert letters((Change(3, Note.D, None),)) == "ABcce"
    assert letters((Change(0, Note.LOW_A, None),)) == "zBcde"


def test_an_added_note_shares_the_time_of_the_note_before() -> None:
    """The bar is as long as it was, and the notes are numbered anew."""
    tune = in_setting(TUNE, (Change(2, Note.C, Note.C, (), (Note.D,)),))
    assert [each.note for each in tune.bars[0].notes] == [Note.LOW_A, Note.B, Note.D, Note.C]
    assert [each.duration for each in tune.bars[0].notes] == [Fraction(1, 4), *[Fraction(1, 8)] * 2, Fraction(1, 2)]
    assert [each.rank for each in tune.notes] == list(range(6))


def test_at_the_beginning_of_a_bar_it_takes_from_the_note_itself() -> None:
    """There is no note before it in the bar."""
    tune = in_setting(TUNE, (Change(3, Note.D, Note.D, (), (Note.C,)),))
    assert [each.duration for each in tune.bars[1].notes] == [Fraction(1, 4), Fraction(1, 4), Fraction(1, 2)]


def test_a_change_of_another_note_is_left_aside() -> None:
    """The tune was changed since."""
    assert letters((Change(2, Note.F, Note.HIGH_A), Change(99, Note.C, Note.D))) == "ABcde"


def test_further_changes_are_those_of_the_tune_in_its_setting() -> None:
    """They are told by the written notes, and what was written is kept."""
    first = (Change(1, Note.B, Note.B, (), (Note.D,)), Change(3, Note.D, Note.E))
    further = (Change(4, Note.E, Note.F), Change(5, Note.E, Note.C))
    both = with_further(first, further)
    assert both == (first[0], Change(3, Note.D, Note.F), Change(4, Note.E, Note.C))
    assert letters(both) == letters(first)[:4] + "fc"


def test_a_setting_in_words_and_as_data() -> None:
    """What is changed alike is told once, with its bars."""
    setting = (Change(1, Note.B, None), Change(2, Note.C, Note.D), Change(4, Note.E, Note.E, (Note.HIGH_G,)))
    assert setting_words(in_setting(TUNE, setting), setting) == "no B in bar 1, D for C in bar 1, g onto E in bar 2"
    assert setting_to_data(setting)[1] == {"note": 2, "asked": "c", "played": "d", "gracenotes": "", "added": ""}
