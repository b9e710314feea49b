"""What is played: the tunes that come with the program, made-up ones, and the drills."""

from __future__ import annotations

import enum
from functools import cache

from companion.commands.shared.library import open_book
from companion.score.bundled import bundled_files
from companion.score.model import Tune
from tests.learners.tunes import make_tune

MADE_UP = 8
DRILL_BOOK = "drills"
OF_THREE_PARTS = 6
"""Made-up tunes of three short parts, for takes with another order."""


class Music(enum.Enum):
    """Tunes, ours and made-up ones; drills; tunes of several parts.

    Drills go on by the same few notes, so that one place can often not be told from another, nor beginning again from
    going on: they have a table of their own.
    """

    TUNES = "tunes"
    DRILLS = "drills"
    PARTS = "tunes of several parts"


@cache
def pieces(music: Music) -> tuple[Tune, ...]:
    """All of them of more than four bars."""
    files = bundled_files()
    books = [open_book(str(file)) for file in files if (file.stem == DRILL_BOOK) == (music is Music.DRILLS)]
    found = [tune for book in books for tune in book.tunes if len(tune.bars) > 4]
    if music is not Music.DRILLS:
        found += [make_tune(draw) for draw in range(MADE_UP)]
    if music is Music.PARTS:
        found += [make_tune(100 + draw, bars=6, parts=3) for draw in range(OF_THREE_PARTS)]
    return tuple(found)
