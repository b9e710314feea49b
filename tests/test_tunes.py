"""The tunes that come with the program are whole, in good order, and say between them what there is to learn."""

from __future__ import annotations

from collections import Counter
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

from companion.schedule.build import name_embellishments
from companion.score.abc import read_abc
from companion.score.model import Part, Tune
from companion.score.performance import performance
from fingering.chart import chart, vent
from fingering.embellishments import Embellishment, Family, catalogue
from fingering.notes import Note

FOLDER = Path(__file__).resolve().parent.parent / "tunes"
FILES = sorted(FOLDER.glob("*.abc"))
DRILLS = FOLDER / "drills.abc"
LAMENT = "Lament for the Tarrowick Bell"

KINDS = {
    ("March", "2/4"),
    ("March", "4/4"),
    ("March", "6/8"),
    ("Slow air", "3/4"),
    ("Strathspey", "C"),
    ("Reel", "C|"),
    ("Jig", "6/8"),
}

# What a learner meets in the first years of light music. Common practice, no source.
COMMON = {
    *(f"{note.label} doubling" for note in Note),
    *(f"half {note.label} doubling" for note in (Note.C, Note.D, Note.E, Note.F)),
    *("G gracenote", "D gracenote", "E gracenote", "thumb gracenote", "thumb F doubling"),
    *("strike on D", "strike on E", "strike on high A", "light strike on D"),
    *("G gracenote strike on B", "G gracenote strike on C", "G gracenote light strike on D"),
    *("G gracenote strike on E", "G gracenote strike on F", "G gracenote double strike on B", "shake on C"),
    *("throw on D", "heavy throw on D", "grip", "grip from D"),
    *("taorluath", "taorluath from D", "taorluath from low G"),
    *("crunluath", "crunluath from D", "birl", "birl with G gracenote", "birl with D gracenote"),
}


@cache
def tunes_of(path: Path) -> tuple[Tune, ...]:
    """The tunes of one file."""
    return read_abc(path).tunes


@cache
def embellishments(tune: Tune) -> tuple[Embellishment, ...]:
    """All embellishments of a tune as it is played, named between their neighbours."""
    return tuple(found for found in name_embellishments(performance(tune)) if found is not None)


OURS = tuple(tune for path in FILES if path != DRILLS for tune in tunes_of(path))
SEVEN = tuple(tune for tune in OURS if tune.title != LAMENT)
ALL = (*OURS, *tunes_of(DRILLS))


def title(tune: Tune) -> str:
    """What a test is called."""
    return tune.title


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_tune_file_reads_without_a_word_of_complaint(path: Path) -> None:
    """No error and no warning; every tune has a title, a maker, a rhythm and a tempo."""
    book = read_abc(path)
    assert [str(problem) for problem in book.problems] == []
    assert all(tune.title and tune.composer and tune.rhythm and tune.tempo for tune in book.tunes)


def test_there_is_a_tune_of_each_kind() -> None:
    """Three marches, a slow air, a strathspey, a reel and a jig."""
    assert {(tune.rhythm, tune.meter.text) for tune in SEVEN} == KINDS


def test_no_two_tunes_share_a_title() -> None:
    """A title is how a class asks for a tune."""
    assert len({tune.title for tune in ALL}) == len(ALL)


@pytest.mark.parametrize("tune", SEVEN, ids=title)
def test_a_tune_has_two_parts(tune: Tune) -> None:
    """As is usual for a first tune."""
    assert [part.label for part in tune.parts] == ["A", "B"]


def played_lengths(tune: Tune, part: Part) -> list[float]:
    """The bars of a part's first time through, each in full bars of its metre."""
    turns = [index for index in tune.order if part.first <= index < part.stop]
    once = turns[: next((i for i, (a, b) in enumerate(pairwise(turns), start=1) if b <= a), len(turns))]
    return [float(tune.bars[index].length / (tune.meter.bar_length or 1)) for index in once]


@pytest.mark.parametrize("tune", OURS, ids=title)
def test_every_part_is_eight_full_bars(tune: Tune) -> None:
    """A pick-up and the part's last bar make one between them, all other bars are full."""
    for part in tune.parts:
        lengths = played_lengths(tune, part)
        assert sum(lengths) == pytest.approx(8.0)
        inner = lengths[1:-1] if lengths[0] < 1.0 else lengths
        assert inner == [1.0] * len(inner)


@pytest.mark.parametrize("tune", OURS, ids=title)
def test_phrases_come_back(tune: Tune) -> None:
    """Each part holds four phrases, and at least two of the tune's phrases were heard before."""
    phrases = [phrase.letter for part in tune.parts for phrase in part.phrases]
    assert [len(part.phrases) for part in tune.parts] == [4] * len(tune.parts)
    assert len(set(phrases)) <= len(phrases) - 2
    assert tune.parts[0].phrases[0].letter == tune.parts[0].phrases[2].letter


@pytest.mark.parametrize("tune", ALL, ids=title)
def test_every_group_of_gracenotes_has_a_name(tune: Tune) -> None:
    """In its place, repeats and all."""
    unnamed = [found.name for found in embellishments(tune) if found.family is Family.UNNAMED]
    assert unnamed == []


@pytest.mark.parametrize("tune", ALL, ids=title)
def test_two_equal_notes_are_always_parted(tune: Tune) -> None:
    """The sound never stops, so without a gracenote they would be one. Common practice, no source."""
    joined = [
        str(b.note.place)
        for a, b in pairwise(performance(tune))
        if a.note.note is b.note.note and not b.note.gracenotes
    ]
    assert joined == []


@pytest.mark.parametrize("tune", ALL, ids=title)
def test_no_gracenote_asks_for_a_finger_that_is_up(tune: Tune) -> None:
    """A gracenote above its note is a finger lifted, so that finger must be down before. Common practice, no source."""
    faults = []
    for before, here in pairwise(performance(tune)):
        if not here.note.gracenotes or here.note.note is None or before.note.note is None:
            continue
        first = here.note.gracenotes[0]
        finger = vent(first)
        if finger is not None and first > here.note.note and not chart(before.note.note).closed(finger):
            faults.append(str(here.note.place))
    assert faults == []


@pytest.mark.parametrize("tune", ALL, ids=title)
def test_no_group_begins_with_the_note_that_sounds_already(tune: Tune) -> None:
    """It would not be heard."""
    played = pairwise(performance(tune))
    inaudible = [str(b.note.place) for a, b in played if b.note.gracenotes and b.note.gracenotes[0] is a.note.note]
    assert inaudible == []


def test_the_tunes_use_every_common_embellishment_between_them() -> None:
    """Drills apart."""
    used = {found.name for tune in OURS for found in embellishments(tune)}
    assert COMMON - used == set()


def test_the_drills_hold_every_embellishment_at_least_twice() -> None:
    """A tune a family, from the gracenotes to the longest run."""
    used = Counter((found.name, found.onto) for tune in tunes_of(DRILLS) for found in embellishments(tune))
    asked = {(entry.embellishment.name, entry.embellishment.onto) for entry in catalogue()}
    assert {key for key in asked if used[key] < 2} == set()
    assert len(tunes_of(DRILLS)) == len(Family) - 1
