"""A tune that is written as MEI or MusicXML reads as the same tune."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings

from companion.score.abc import read_abc_text
from companion.score.engrave.mei import mei_of
from companion.score.formats.abc_text.writer import abc_of
from companion.score.formats.books import read_tunes
from companion.score.formats.musicxml_out.writer import musicxml_of, packed_musicxml_of
from companion.score.model import Tune, Tunebook
from tests.companion.score.formats.ours import our_tunes, wild_tunes
from tests.companion.score.formats.sameness import music, over
from tests.companion.score.formats.scores import mei_book, musicxml_book
from tests.companion.score.generated import tunes
from tests.companion.score.reading import tune_of


def by_mei(tune: Tune) -> Tunebook:
    """The tune written as MEI and read."""
    return mei_book(mei_of(tune))


def by_musicxml(tune: Tune) -> Tunebook:
    """The tune written as MusicXML and read."""
    return musicxml_book(musicxml_of(tune))


BOTH = pytest.mark.parametrize("way", [by_mei, by_musicxml])
Way = Callable[[Tune], Tunebook]


def told(tune: Tune) -> dict[str, Any]:
    """What both formats keep; a tune without a number is the first."""
    return {**music(tune), "reference": tune.reference or "1"}


@pytest.mark.same_everywhere
@BOTH
def test_our_tunes_come_back_as_they_are(way: Way) -> None:
    """Every other tune and drill, and nothing is said: music, parts, plan, titles, words, even the text of ABC."""
    for tune in our_tunes()[::2]:
        book = way(tune)
        (read,) = book.tunes
        assert not book.problems, tune.title
        assert told(read) == told(tune), tune.title
        assert list(map(over, read.notes)) == list(map(over, tune.notes))
        assert _plainly(abc_of(read)) == _plainly(abc_of(tune))


@BOTH
@pytest.mark.parametrize(
    "music",
    ["|:A4|Z2:|B4|]", "A4|Z2!fine!|B4!D.C.alfine!|]", "|:A4|[1Z2:|[2 B4|c4|]", "P:A\nZ2|\nP:B\nA4|]", "A4|Z2|z4|Z3|"],
)
def test_rests_of_several_bars_keep_the_signs_at_their_ends(way: Way, music: str) -> None:
    """Repeats, endings, labels and jumps, though MusicXML writes each measure of the rest."""
    tune = tune_of(f"X:1\nT:Rests\nM:2/4\nL:1/8\nK:HP\n{music}\n")
    assert told(way(tune).tunes[0]) == told(tune)


def _plainly(abc: str) -> str:
    """The text with one sort of double bar line: staves have no bracket that closes an ending there."""
    return abc.replace("|]", "||")


@pytest.mark.same_everywhere
@BOTH
def test_tunes_as_people_write_them_come_back(way: Way) -> None:
    """Rests of several bars, ties over bar lines, endings of all sorts, changes of metre and tempo, da capo al fine."""
    for name, tune in wild_tunes()[::2]:
        assert told(way(tune).tunes[0]) == told(tune), name


@pytest.mark.same_everywhere
@BOTH
@settings(max_examples=15)
@given(text=tunes())
def test_any_tune_comes_back(way: Way, text: str) -> None:
    """Made up at random, with repeats for several passes, plans, tuplets, ties and gracenotes of written lengths."""
    tune = tune_of(text)
    assert told(way(tune).tunes[0]) == told(tune)


def test_a_packed_score_is_the_same_score(tmp_path: Path) -> None:
    """The bytes of an .mxl file are the same each time, and hold the tune."""
    tune = our_tunes()[-1]
    path = tmp_path / "a.mxl"
    path.write_bytes(packed_musicxml_of(tune))
    assert packed_musicxml_of(tune) == path.read_bytes()
    assert abc_of(read_tunes(path).tunes[0]) == abc_of(tune)


DRESSED = (
    'X:1\nT:Dressed\nM:2/4\nL:1/8\nK:HP\n"Am7""^over""_under"!fermata!A!trill!B !accent!c!tenuto!d|'
    "!staccato!e!uppermordent!f !lowermordent!g!upbow!a|\n"
)


def test_words_and_signs_over_notes_come_back_from_musicxml() -> None:
    """A chord, words over and under the staff, and each decoration that MusicXML has an element for."""
    tune = read_abc_text(DRESSED).tunes[0]
    assert list(map(over, by_musicxml(tune).tunes[0].notes)) == list(map(over, tune.notes))


@pytest.mark.parametrize("chord", ["A", "Bm", "F#m7", "G/B", "Dmaj7", "E7", "Asus4"])
def test_chords_come_back_from_musicxml(chord: str) -> None:
    """Root, kind and bass, as they were written."""
    tune = read_abc_text(f'X:1\nT:C\nM:2/4\nL:1/8\nK:HP\n"{chord}"A2B2|\n').tunes[0]
    assert by_musicxml(tune).tunes[0].notes[0].chord == chord


def test_a_chord_that_is_none_becomes_words() -> None:
    """MusicXML has no name for it, so that it stands over the note as words."""
    tune = read_abc_text('X:1\nT:C\nM:2/4\nL:1/8\nK:HP\n"slow air"A2B2|\n').tunes[0]
    assert by_musicxml(tune).tunes[0].notes[0].annotations == ("^slow air",)
