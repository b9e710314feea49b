"""ABC as people write it: invented files, each named for the one thing it shows, written by someone who had not seen
the reader, and the melody that a piper would play from each.

A file's expectation stands beside it: first "plays" (whatever is said of it are warnings), "error" (music would be lost
or wrong) or "refused" (it is no ABC); then the melody of each tune as it is played, see `performed`.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import pytest

from companion.score.abc import read_abc
from companion.score.model import Bar, MelodyNote, Tune
from companion.score.problems import Severity
from fingering.errors import UserError

FOLDER = Path(__file__).parent / "wild"


@dataclass(frozen=True)
class Expected:
    """What a sensible reader makes of a file: its status, and the melodies of its tunes by rank ("?": none is told)."""

    status: str
    melodies: dict[int, str]


def expected(stem: str) -> Expected:
    """Read the expectation beside a file."""
    status, *lines = (FOLDER / f"{stem}.txt").read_text(encoding="utf-8").splitlines()
    melodies: dict[int, str] = {}
    for line in lines:
        if line.startswith("because:") or not line.strip():
            continue
        rank, _, melody = line.rpartition(": ") if line.startswith("tune ") else ("tune 1", "", line)
        melodies[int(rank.removeprefix("tune "))] = melody.strip()
    return Expected(status, melodies)


def performed(tune: Tune) -> str:
    """The melody as played: gracenotes in braces, letter, length in quavers, bars parted; "-" for an empty bar."""
    return " | ".join(" ".join(_spell(bar)) or "-" for bar in (tune.bars[i] for i in tune.order))


def _spell(bar: Bar) -> Iterator[str]:
    return map(_spell_note, bar.notes)


def _spell_note(note: MelodyNote) -> str:
    graces = "".join(grace.letter for grace in note.gracenotes)
    letter = "z" if note.note is None else note.note.letter
    return f"{{{graces}}}{letter}{8 * note.duration}" if graces else f"{letter}{8 * note.duration}"


STEMS = sorted(path.stem for path in FOLDER.glob("*.abc"))


def test_there_are_as_many_as_promised() -> None:
    """At least 120, of every status."""
    assert len(STEMS) >= 120
    assert {expected(stem).status for stem in STEMS} == {"plays", "error", "refused"}


@pytest.mark.parametrize("stem", STEMS)
def test_a_file_is_read_as_it_is_meant(stem: str) -> None:
    """Status and melodies."""
    meant = expected(stem)
    if meant.status == "refused" or meant.melodies.get(1) == "?":
        refused = pytest.raises(UserError, match=r"not ABC|the file is empty")
        with refused if meant.status == "refused" else suppress(UserError):
            book = read_abc(FOLDER / f"{stem}.abc")
            assert any(problem.severity is Severity.ERROR for problem in book.problems)
        return
    book = read_abc(FOLDER / f"{stem}.abc")
    errors = [str(problem) for problem in book.problems if problem.severity is Severity.ERROR]
    assert bool(errors) == (meant.status == "error"), errors
    for rank, melody in meant.melodies.items():
        if melody != "?":
            assert performed(book.tunes[rank - 1]) == melody
