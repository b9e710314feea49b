"""What `eightholes WORD` opens where the word is no command: a file, a folder, one of our tunes, a recording."""

from __future__ import annotations

import difflib
import os
from collections.abc import Iterator, Sequence

from companion.files.lines import quoted
from companion.hearing.takes.endings import is_recording
from companion.score.abc import read_abc
from companion.score.bundled import bundled_files
from companion.window.choose.search import folded
from fingering.errors import UserError

MOST_CLOSE = 5
LONGEST_COMPARED = 100
"""Letters of a word that is compared with all names: comparing takes the time of both lengths multiplied."""


def words_to_open(word: str, commands: Sequence[str]) -> list[str]:
    """The words that `show` takes to open what `word` stands for. Raises UserError, with close names, for nothing."""
    if os.path.exists(word):
        return ["--take", word] if is_recording(word) and os.path.isfile(word) else [word]
    names = dict(_names())
    wanted = folded(word.lower().removesuffix(".abc"))
    for name, words in names.items():
        if folded(name) == wanted:
            return words
    what = f"there is no command {quoted(word)}, nor such a file or tune"
    raise UserError(what, _remedy(wanted, [*commands, *names]) or f"give a file, or one of {', '.join(commands)}")


def _names() -> Iterator[tuple[str, list[str]]]:
    """Yield each name of a bundled file and each title in it, with the words that open it."""
    for file in bundled_files():
        yield file.stem, [file.stem]
        for rank, tune in enumerate(read_abc(file).tunes, start=1):
            yield tune.title, [file.stem, "--tune", tune.reference if tune.reference.isdecimal() else str(rank)]


def _remedy(wanted: str, names: Sequence[str]) -> str:
    """The names that are close to what was wanted, a tune's title rather than its file's name; "" for none."""
    known = {folded(name): name for name in names}
    close = [known[each] for each in difflib.get_close_matches(wanted[:LONGEST_COMPARED], known, MOST_CLOSE)]
    return f"try {'one of ' if len(close) > 1 else ''}{', '.join(close)}" if close else ""
