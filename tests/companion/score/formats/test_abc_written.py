"""A tune that is written as ABC reads as the same tune."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.score.abc import read_abc_text
from companion.score.formats.abc_text.writer import abc_book, abc_of
from companion.score.model import Tempo, Tune
from tests.companion.score.formats.ours import our_tunes, wild_tunes
from tests.companion.score.formats.sameness import all_told
from tests.companion.score.generated import tunes
from tests.companion.score.reading import tune_of


def again(tune: Tune) -> Tune:
    """The tune once it is written and read."""
    (read,) = read_abc_text(abc_of(tune)).tunes
    return read


def told(tune: Tune) -> dict[str, Any]:
    """All that it tells; a tune without a number is written as X:1."""
    return {**all_told(tune), "reference": tune.reference or "1"}


def test_our_tunes_come_back_as_they_are() -> None:
    """Notes, gracenotes, repeats, parts, plan, phrase marks, fields: all tunes and drills."""
    for tune in our_tunes():
        assert told(again(tune)) == told(tune), tune.title


def test_tunes_as_people_write_them_come_back() -> None:
    """But for two files whose composer or kind stands among the music, where no field of that sort belongs."""
    tunes = [
        tune for name, tune in wild_tunes() if name not in ("all-in-one-line-fields.abc", "fields-z-c-n-in-body.abc")
    ]
    assert len(tunes) > 180
    for tune in tunes:
        assert told(again(tune)) == told(tune), tune.place.source


@pytest.mark.same_everywhere
@settings(max_examples=40)
@given(tunes())
def test_any_tune_comes_back(text: str) -> None:
    """With ties, tuplets, endings for several passes, plans, in every key under which it fits."""
    tune = tune_of(text)
    assert told(again(tune)) == told(tune)


def test_what_is_written_is_written_again_the_same() -> None:
    """The second text equals the first, so that nothing creeps in."""
    for tune in our_tunes():
        assert abc_of(again(tune)) == abc_of(tune)


@pytest.mark.same_everywhere
@settings(max_examples=80)
@given(st.text(st.characters(min_codepoint=32, max_codepoint=0x2FFF), max_size=30))
def test_any_title_comes_back(text: str) -> None:
    """Signs that mean something in ABC, backslashes, entities and comments among them, are kept as they are."""
    tune = tune_of("A|")
    titled = replace(tune, title=text.strip(), composer=text.strip())
    first = again(titled)
    assert (again(first).title, again(first).composer) == (first.title, first.composer)
    if text.isprintable():
        assert first.title == text.strip()


@pytest.mark.parametrize("words", ["Am7", 'the "end"', "50% \\slow", "1st time", "^2nd ending", "_a & b;", "<|:"])
def test_words_over_notes_are_kept_and_begin_no_ending(words: str) -> None:
    """Whatever stands between quotation marks in a tune that was read comes back as one chord or annotation."""
    tune = tune_of("AB|")
    note = tune.bars[0].notes[1]
    marked = words[0] in "^_<>@"
    dressed = note._replace(annotations=(words,)) if marked else note._replace(chord=words)
    bar = tune.bars[0]._replace(notes=(tune.bars[0].notes[0], dressed))
    read = again(replace(tune, bars=(bar,))).bars
    assert len(read) == 1
    assert read[0].signs.ending == ()
    assert (read[0].notes[1].annotations if marked else (read[0].notes[1].chord,)) == (words,)


@pytest.mark.parametrize("key", ["HP", "Hp", "D", "Amix", "C", "G", "A", "none", "F#m", "Eb"])
def test_each_note_is_spelled_so_that_the_key_makes_it_that_note(key: str) -> None:
    """Under any key the nine notes and their gracenotes come back without a warning; the key keeps its name."""
    tune = replace(tune_of("M:none\nL:1/8\nK:HP\n{g}G{d}A{c}B{f}c{G}d|{A}e{e}f{B}g{g}a|"), key=key)
    book = read_abc_text(abc_of(replace(tune, title="Nine")))
    assert not book.problems
    assert [note.note for note in book.tunes[0].notes] == [note.note for note in tune.notes]
    assert [note.gracenotes for note in book.tunes[0].notes] == [note.gracenotes for note in tune.notes]
    assert book.tunes[0].key == key


def test_what_changed_how_a_tune_was_read_is_not_written_again() -> None:
    """Macros and transpositions have done their work: the music is written as it was played."""
    tune = tune_of("X:1\nT:Moved\nm:t = {g}\nI:MIDI transpose 2\nM:none\nL:1/8\nK:C\ntGABc|")
    text = abc_of(tune)
    assert "transpose" not in text
    assert "m:" not in text
    assert [note.note for note in again(tune).notes] == [note.note for note in tune.notes]


def test_lengths_are_written_with_the_unit_that_makes_most_of_them_whole() -> None:
    """A tune of semiquavers and dotted quavers has L:1/16, one of quavers L:1/8."""
    assert "L:1/16" in abc_of(tune_of("M:2/4\nL:1/16\nK:HP\nA3B c3d|e3fg3a|"))
    assert "L:1/8" in abc_of(tune_of("M:2/4\nL:1/8\nK:HP\nA2Bc|d2ef|"))


def test_a_line_of_text_holds_whole_phrases() -> None:
    """Each line of music ends with a bar line, and begins a part or a phrase."""
    tune = next(each for each in our_tunes() if each.title == "Lament for the Tarrowick Bell")
    lines = [line for line in abc_of(tune).splitlines() if line.endswith("|")]
    assert [line.count("|") for line in lines if "||" not in line] == [4, 4, 4]


def test_several_tunes_make_one_book() -> None:
    """With an empty line between them, in their order."""
    book = read_abc_text(abc_book(our_tunes()))
    assert [tune.title for tune in book.tunes] == [tune.title for tune in our_tunes()]


def test_a_tempo_may_have_any_beat_and_words() -> None:
    """A beat that no single note has, a figure with a fraction, and words with quotation marks."""
    tune = replace(tune_of("M:5/4\nL:1/8\nK:HP\nA10|"), tempo=Tempo(Fraction(5, 4), 24.125, 'not "fast"'))
    tune = replace(tune, bars=(tune.bars[0]._replace(tempo=tune.tempo),))
    assert again(tune).tempo == tune.tempo
