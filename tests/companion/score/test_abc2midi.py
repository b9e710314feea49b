"""The reader and abc2midi agree on pitches, melody onsets and the order of playing."""

from __future__ import annotations

import re
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, seed, settings

from companion.score.abc import read_abc, read_abc_text
from tests.companion.score.abc2midi import assert_agree
from tests.companion.score.generated import tunes
from tests.referees import require_program

pytestmark = pytest.mark.same_everywhere
TUNES = Path(__file__).parents[3] / "tunes"
OURS = [(path, tune.reference) for path in sorted(TUNES.glob("*.abc")) for tune in read_abc(path).tunes]


@pytest.mark.parametrize(("path", "reference"), OURS, ids=lambda value: getattr(value, "stem", value))
def test_a_tune_of_ours_sounds_alike(path: Path, reference: str, tmp_path: Path) -> None:
    """Every tune that comes with the program."""
    tune = next(tune for tune in read_abc(path).tunes if tune.reference == reference)
    assert_agree(tune, path.read_text(encoding="utf-8"), tmp_path)


@seed(20111221)
@settings(max_examples=200, database=None)
@given(tunes())
def test_made_up_tunes_sound_alike(abc: str) -> None:
    """Repeats, endings, part plans, tuplets, broken rhythm, ties and rests, in any mixture."""
    require_program("abc2midi")
    book = read_abc_text(abc)
    assert [str(problem) for problem in book.problems] == []
    with TemporaryDirectory() as folder:
        assert_agree(book.tunes[0], abc, Path(folder))


@seed(20111221)
@settings(max_examples=60, database=None)
@given(tunes())
def test_no_gracenote_is_lost(abc: str) -> None:
    """As many gracenotes are read as letters stand in braces, in the same order."""
    read = [grace.letter for note in read_abc_text(abc).tunes[0].notes for grace in note.gracenotes]
    assert read == re.findall("[A-Ga-g]", "".join(re.findall(r"\{([^}]*)\}", abc)))
