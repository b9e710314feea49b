"""Short ways to read a tune and to say what was read."""

from __future__ import annotations

import re

from companion.score.abc import read_abc_text
from companion.score.model import Bar, MelodyNote, Tune

HEAD = "X:1\nT:Test\nM:none\nL:1/8\nK:HP\n"


def whole(abc: str) -> str:
    """An ABC text as it is; music alone under a plain header: K:HP, quavers, no metre."""
    return abc if re.search(r"^K:", abc, re.MULTILINE) or "\r" in abc else HEAD + abc


def tune_of(abc: str) -> Tune:
    """The first tune of an ABC text; music alone is put under a plain header."""
    return read_abc_text(whole(abc)).tunes[0]


def spell(abc: str) -> str:
    """What was read, bar by bar as written: gracenotes in braces, letter, length in quavers: "{gcd}c2 z1/2|A1"."""
    return "|".join(map(_spell_bar, tune_of(abc).bars))


def _spell_bar(bar: Bar) -> str:
    return " ".join(map(_spell_note, bar.notes))


def _spell_note(note: MelodyNote) -> str:
    graces = "".join(grace.letter for grace in note.gracenotes)
    letter = "z" if note.note is None else note.note.letter
    return f"{{{graces}}}{letter}{8 * note.duration}" if graces else f"{letter}{8 * note.duration}"


def order(abc: str) -> str:
    """The first letter of each bar in the order of playing."""
    tune = tune_of(abc)
    bars = (tune.bars[i] for i in tune.order)
    return "".join(bar.notes[0].note.letter if bar.notes and bar.notes[0].note is not None else "z" for bar in bars)


def complaints(abc: str) -> list[str]:
    """Every problem of a text, as "E bar-too-long 6:3: what; remedy"."""
    book = read_abc_text(whole(abc), "t")
    return [
        f"{problem.severity.value[0].upper()} {problem.kind.label} {str(problem).removeprefix('t:')}"
        for problem in book.problems
    ]
