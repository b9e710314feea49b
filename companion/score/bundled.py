"""Finds the tunes that come with the program."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import companion
from companion.score.abc import read_abc
from companion.score.model import Tune

DRILLS = "drills"
"""The file of exercises, one for each embellishment and more often than any tune has them."""


def bundled_folder() -> Path:
    """The folder of the tunes that come with the program: inside the installed package, or the checkout's own."""
    package = Path(companion.__file__).resolve().parent
    installed = package / "tunes"
    return installed if installed.is_dir() else package.parent / "tunes"


def bundled_files() -> tuple[Path, ...]:
    """The tune files that come with the program, by name."""
    return tuple(sorted(bundled_folder().glob("*.abc")))


def real_tunes() -> Iterator[Tune]:
    """The tunes among them that can be played, without the drills."""
    for file in bundled_files():
        if file.stem != DRILLS:
            yield from (tune for tune in read_abc(file).tunes if tune.order)
