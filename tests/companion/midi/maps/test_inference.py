"""Without calibration the map is inferred from what is played, and says how sure it is."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from pathlib import Path

import pytest

from companion.midi.maps.inference import Inferred, MapInference
from companion.midi.maps.note_map import DEFAULT_MAP, NoteMap, Spelling
from companion.midi.stream.monophony import SoundingNumber
from companion.score.abc import read_abc
from companion.score.model import Tune
from companion.score.performance import performance
from fingering.notes import Note

pytestmark = pytest.mark.same_everywhere

FOLDER = Path(__file__).resolve().parents[4] / "tunes"
TUNES = sorted(path for path in FOLDER.glob("*.abc") if path.stem != "drills")  # single movements are no tunes
MAPS = [NoteMap.of(low_a, spelling) for low_a, spelling in product(range(57, 69), Spelling)]


def graced(tune: Tune) -> list[Note]:
    """Every note and gracenote of a tune as it is played."""
    played = [each.note for each in performance(tune)]
    return [note for each in played if each.note is not None for note in (*each.gracenotes, each.note)]


def bare(tune: Tune) -> list[Note]:
    """The melody alone."""
    return [each.note.note for each in performance(tune) if each.note.note is not None]


def inferred(notes: Sequence[Note], true_map: NoteMap) -> Inferred:
    """What is inferred from notes played by a map."""
    inference = MapInference()
    for rank, note in enumerate(notes):
        inference.hear(SoundingNumber(float(rank), true_map.number(note)))
    return inference.best


@pytest.fixture(scope="module")
def tunes() -> list[Tune]:
    """The tunes that come with the program; the model was made of none of them."""
    return [tune for path in TUNES for tune in read_abc(path).tunes]


@pytest.mark.parametrize("count", [60, None], ids=["sixty notes", "the whole tune"])
def test_a_real_tune_tells_the_map(tunes: list[Tune], count: int | None) -> None:
    """At least 95 times of a hundred over all tunes, twelve transpositions and both spellings."""
    results = [inferred(graced(tune)[:count], each).note_map == each for tune in tunes for each in MAPS]
    assert len(results) >= 8 * len(MAPS)
    assert sum(results) / len(results) >= 0.95


@pytest.mark.parametrize("count", [10, 30, None])
def test_it_does_not_claim_to_be_sure_of_what_is_wrong(tunes: list[Tune], count: int | None) -> None:
    """With gracenotes or without: a melody of five notes fits several maps, and that is said."""
    found = [
        (inferred(way(tune)[:count], each), each) for tune in tunes for way in (graced, bare) for each in MAPS[::5]
    ]
    sure = [guess.note_map == each for guess, each in found if guess.sure]
    assert sum(sure) / len(sure) >= 0.95


def test_confidence_grows_as_more_is_played(tunes: list[Tune]) -> None:
    """From a guess to certainty."""
    notes = graced(tunes[0])
    confidences = [inferred(notes[:count], DEFAULT_MAP).confidence for count in (1, 10, len(notes))]
    assert confidences == sorted(confidences)
    assert confidences[0] < 0.5
    assert confidences[-1] > 0.99


def test_slips_and_drones_do_not_confuse_it(tunes: list[Tune]) -> None:
    """One note in twenty is a wrong number, and a drone starts between."""
    inference = MapInference()
    for rank, note in enumerate(graced(tunes[0])):
        inference.hear(SoundingNumber(float(rank), DEFAULT_MAP.number(note)))
        if rank % 20 == 7:
            inference.hear(SoundingNumber(rank + 0.5, 57 if rank % 40 == 7 else 70))
    assert inference.best.note_map == DEFAULT_MAP


def test_nothing_played_is_nothing_known() -> None:
    """The default map then stands, with hardly any confidence."""
    assert MapInference().best.note_map == DEFAULT_MAP
    assert not MapInference().best.sure
    assert MapInference().best.confidence < 0.01


def test_the_first_note_is_read_by_the_usual_numbers() -> None:
    """A single note says little; until more is heard, 69 is low A (common practice, no source) and far from sure."""
    best = inferred([Note.LOW_A], DEFAULT_MAP)
    assert best.note_map == DEFAULT_MAP
    assert not best.sure
