"""All tunes to take there and back: ours, and the files of the wild from which nothing is lost."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from companion.score.abc import read_abc
from companion.score.bundled import bundled_files
from companion.score.model import Tune
from companion.score.problems import Severity
from fingering.errors import UserError
from tests.companion.score.test_wild import FOLDER


@cache
def our_tunes() -> tuple[Tune, ...]:
    """The tunes and drills that come with the program."""
    return tuple(tune for file in bundled_files() for tune in read_abc(file).tunes)


@cache
def wild_tunes() -> tuple[tuple[str, Tune], ...]:
    """Tunes as people write them, each with the name of its file, without those that an error took music from."""
    return tuple((path.name, tune) for path in sorted(FOLDER.glob("*.abc")) for tune in _whole(path))


def _whole(path: Path) -> list[Tune]:
    try:
        book = read_abc(path)
    except UserError:
        return []
    return [tune for tune, told in book.with_problems() if all(each.severity is Severity.WARNING for each in told)]
