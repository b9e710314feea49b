"""ABC that packages carry, read in bulk: nothing is raised, and what lies on the chanter sounds as abc2midi has it.

Thousands of tunes of all sorts that nobody wrote for this reader: music21's corpora, the examples of Debian's abcmidi
and abcm2ps. Nothing of them is copied here.
"""

from __future__ import annotations

import gc
import re
import subprocess
from collections.abc import Collection, Iterator, Sequence
from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryDirectory

import mido
import pytest

from companion.score.abc import read_abc
from companion.score.checks import check
from companion.score.model import Tune, Tunebook
from companion.score.performance import performance
from companion.score.problems import ProblemKind
from companion.score.writing import check_writing
from fingering.errors import UserError
from fingering.notes import Note
from tests.companion.score.abc2midi import without_gracenotes, without_trills
from tests.referees import require_file, require_module, require_program

pytestmark = pytest.mark.same_everywhere
NINE = {note.midi for note in Note}
AGREEING = 0.98

# What abc2midi does otherwise by its own choice: it plays all voices and notes of a chord, and goes back at D.C.
OTHER_MUSIC = frozenset(
    {ProblemKind.CHORD, ProblemKind.OTHER_VOICE, ProblemKind.OVERLAY, ProblemKind.JUMP_NOT_FOLLOWED}
)


def files() -> list[Path]:
    """All ABC files of the packages."""
    corpus = Path(str(require_module("music21").__file__)).parent / "corpus"
    debian = [require_file(f"/usr/share/doc/{name}/examples/*.abc").parent for name in ("abcmidi", "abcm2ps")]
    return [path for folder in (corpus, *debian) for path in sorted(folder.rglob("*.abc"))]


# What sounds nothing by its letters: a field in the music, words in quotation marks, a decoration, a comment.
_SILENT = re.compile(r"\[[A-Za-z]:[^\]\n]*\]|\"[^\"\n]*\"|![^!\n]*!|%.*|^[A-Za-z+]:.*", re.MULTILINE)
_EMPTY_LINE = re.compile(r"\n\s*\n")
_BEYOND = re.compile(r"(?<![\^_=])[CDEFb]")
"""A note that lies beyond the nine in every key; with an accidental it might come to lie on one of them."""


def what_may_lie_on_the_chanter(path: Path) -> str:
    """The file with those tunes alone that are not beyond the nine notes by their very letters, bare of gracenotes.

    These are one in ten; to have abc2midi play the rest too took most of the time, and nothing of it was compared.
    """
    bare = without_trills(without_gracenotes(path.read_text(encoding="latin-1")))
    head, *tunes = re.split(r"^(?=X:)", bare, flags=re.MULTILINE)
    return head + "".join(tune for tune in tunes if not _BEYOND.search(_SILENT.sub("", _EMPTY_LINE.split(tune)[0])))


def heard(path: Path, references: Collection[str], folder: Path) -> Iterator[tuple[str, list[int]]]:
    """(X: number, pitches in order of time) of these tunes of a file as abc2midi plays it, bare of trills."""
    source = folder / "a.abc"
    source.write_bytes(what_may_lie_on_the_chanter(path).encode("latin-1"))
    program = require_program("abc2midi")
    subprocess.run([program, source.name], cwd=folder, check=False, capture_output=True, timeout=60)
    for made in folder.glob("a*.mid"):
        if made.stem.removeprefix("a") in references:
            yield made.stem.removeprefix("a"), _pitches(made)
        made.unlink()


def _pitches(path: Path) -> list[int]:
    sounds: list[tuple[int, int]] = []
    for track in mido.MidiFile(path).tracks:
        now = 0
        for message in track:
            now += message.time
            if message.type == "note_on" and message.velocity:
                sounds.append((now, message.note))
    return [pitch for _, pitch in sorted(sounds)]


def other_music(book: Tunebook, tune: Tune) -> bool:
    """Whether abc2midi plays it otherwise by its own choice."""
    return bool(OTHER_MUSIC & {problem.kind for problem in book.problems_of(tune)})


def played(tune: Tune) -> list[int]:
    """The melody as this reader plays it."""
    return [each.note.note.midi for each in performance(tune) if each.note.note is not None]


@pytest.fixture(scope="module")
def books() -> Sequence[tuple[Path, Tunebook]]:
    """Each file and what was read in it; those that are refused by a UserError are left out."""
    read: list[tuple[Path, Tunebook]] = []
    gc.disable()  # it would go through all of them over and over, a fifth of the time
    try:
        for path in files():
            with suppress(UserError):
                read.append((path, read_abc(path)))
    finally:
        gc.enable()
    return read


def test_nothing_is_raised(books: Sequence[tuple[Path, Tunebook]]) -> None:
    """Reading and checking the tunes of all packages raises nothing; there are more than 1,500."""
    for _, book in books:
        for tune in book.tunes:
            check(tune)
            check_writing(tune)
    assert sum(len(book.tunes) for _, book in books) > 1500


def test_what_lies_on_the_chanter_sounds_as_abc2midi_has_it(books: Sequence[tuple[Path, Tunebook]]) -> None:
    """In 98 of a hundred tunes, letter by letter as they are played."""
    agreeing, compared, apart = 0, 0, []
    with TemporaryDirectory() as name:
        for path, book in books:
            alike = [tune for tune in book.tunes if not other_music(book, tune)]
            theirs = dict(heard(path, {tune.reference for tune in alike}, Path(name)))
            for tune in alike:
                pitches = theirs.get(tune.reference)
                if not pitches or not set(pitches) <= NINE:
                    continue
                compared += 1
                if played(tune) == pitches:
                    agreeing += 1
                else:
                    apart.append(f"{path.name} X:{tune.reference} {len(played(tune))} {len(pitches)}")
    assert compared > 30, "too few tunes lie within the nine notes to say anything"
    assert agreeing >= AGREEING * compared, (agreeing, compared, apart)
