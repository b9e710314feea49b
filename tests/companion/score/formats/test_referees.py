"""Programs of others read the MusicXML that we write, and we read theirs; the published schema accepts ours."""

from __future__ import annotations

import importlib.util
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from companion.score.bundled import real_tunes
from companion.score.formats.musicxml_out.writer import musicxml_of
from companion.score.model import Tune
from companion.score.problems import Severity
from tests.companion.score.formats.music21_score import heard_by, heard_in, score_of
from tests.companion.score.formats.ours import wild_tunes
from tests.companion.score.formats.scores import musicxml_book
from tests.companion.score.reading import tune_of
from tests.referees import require_file, require_module

REAL = tuple(real_tunes())

MIXED = tune_of(
    "X:1\nT:Mixed\nC:Me\nM:6/8\nL:1/8\nQ:3/8=60\nK:HP\n|:A2B- B3|(3cde f2 g2|1 {gcd}c3-c3:|2 d6|\n"
    "M:2/4\n{/g}A4|{g2d}B3c|]\n"
)


@cache
def schema() -> Any:
    """The published schema of MusicXML 4.0, which the package musicxml carries; nothing is fetched."""
    xmlschema = require_module("xmlschema")
    found = importlib.util.find_spec("musicxml")
    folder = Path(found.origin).parent if found and found.origin else Path("/nowhere")
    path = require_file(str(folder / "generate_classes" / "musicxml_4_0.xsd"))
    own = Path(str(xmlschema.__file__)).parent / "schemas"
    web = "http://www.musicxml.org/xsd/"
    instead = {f"{web}xlink.xsd": str(own / "XLINK" / "xlink.xsd"), f"{web}xml.xsd": str(own / "XML" / "xml.xsd")}
    return xmlschema.XMLSchema(str(path), uri_mapper=instead, allow="local")


@cache
def music21() -> ModuleType:
    """music21, without its warnings."""
    return require_module("music21")


@pytest.mark.same_everywhere
def test_what_we_write_is_valid_musicxml() -> None:
    """By the schema of MusicXML 4.0: our tunes, and those of the wild with whatever stands in them."""
    for tune in (*REAL[::3], MIXED, *(tune for _, tune in wild_tunes()[::9])):
        errors = [f"{tune.title}: {error.path}: {error.reason}" for error in schema().iter_errors(musicxml_of(tune))]
        assert not errors


@pytest.mark.same_everywhere
@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("rank", [0, 4])
def test_music21_reads_the_same_notes_in_ours(rank: int) -> None:
    """Pitches, lengths and gracenotes of each note as written."""
    tune = REAL[rank]
    score = music21().converter.parse(musicxml_of(tune), format="musicxml")
    assert heard_by(score) == heard_in(tune)


@pytest.mark.same_everywhere
@pytest.mark.filterwarnings("ignore")
def test_music21_follows_our_repeats() -> None:
    """It unfolds them to as many notes as we play."""
    tune = next(each for each in REAL if any(bar.signs.ending for bar in each.bars))
    score = music21().converter.parse(musicxml_of(tune), format="musicxml")
    played = [note for note in score.parts[0].expandRepeats().flatten().notes if not note.duration.isGrace]
    assert len(played) == sum(len(tune.bars[i].notes) for i in tune.order)


@pytest.mark.same_everywhere
@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("tune", [*REAL[1:8:3], MIXED], ids=lambda tune: tune.title)
def test_we_read_what_music21_writes_of_our_tunes(tune: Tune) -> None:
    """Notes, gracenotes, the order of playing, title and composer."""
    m21 = music21()
    text = m21.musicxml.m21ToXml.GeneralObjectExporter(score_of(tune, m21)).parse().decode("utf-8")
    book = musicxml_book(text)
    (read,) = book.tunes
    assert not [problem for problem in book.problems if problem.severity is Severity.ERROR]
    assert heard_in(read) == heard_in(tune)
    assert read.order == (tuple(range(len(tune.bars))) if tune.plan else tune.order)  # music21 knows no plan
    assert (read.title, read.composer) == (tune.title, tune.composer)


@pytest.mark.same_everywhere
@pytest.mark.filterwarnings("ignore")
def test_partitura_reads_the_same_notes_in_ours(tmp_path: Path) -> None:
    """A second referee: pitches and lengths in crotchets, gracenotes as such."""
    partitura = require_module("partitura")
    tune = REAL[0]
    path = tmp_path / "a.musicxml"
    path.write_text(musicxml_of(tune), encoding="utf-8")
    part = partitura.load_musicxml(str(path))[0]
    notes = [(note.midi_pitch, isinstance(note, partitura.score.GraceNote)) for note in part.notes_tied]
    ours = [
        pair
        for note in tune.notes
        if note.note is not None
        for pair in (*((grace.midi, True) for grace in note.gracenotes), (note.note.midi, False))
    ]
    assert notes == ours
