"""Writes out macros, letters that stand for longer music (ABC 2.1 section 9), before a line is read.

A line that is rewritten keeps, for each character, the column of what it stands for, so that problems and notes still
point into the file.
"""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

_DEFINITION = re.compile(r"\s*([^=]{1,31}?)\s*=\s*(.{1,200}?)\s*", re.DOTALL)
_PITCH = r"(?:\^{1,2}|_{1,2}|=)?[A-Ga-g][,']*"
_RELATIVE = re.compile(r"[h-z]")
_SCALE = "CDEFGAB"
_LEFT_ALONE = r'"[^"]*"|![^!\s|]+!|\+[^+\s|]+\+|\[[A-Za-z]:[^\[\]]*\]'
_ENTITY = re.compile(rf"{_LEFT_ALONE}|&(?:gt|lt|amp|quot|apos|nbsp|#\d{{1,5}});")

MOST_GROWTH = 64
LONGEST_LINE = 100_000
"""MOST_GROWTH: how many times longer macros may make a line; LONGEST_LINE: how many characters it may have then. Macros
stand for embellishments, not for tunes.
"""


@dataclass(frozen=True, slots=True)
class Macro:
    """A macro: `written` stands for `meant`.

    A transposing one holds ``n`` for any note, and in `meant` the letters h to z for the notes around it: ``m`` is one
    step below, ``o`` one above.
    """

    written: str
    meant: str

    @property
    def transposing(self) -> bool:
        """Whether it follows the note that it is written with."""
        return "n" in self.written


@dataclass(frozen=True, slots=True)
class Rewritten:
    """A line after replacing; `columns[i]` is the column in the file, from 1, that character i comes from."""

    text: str
    columns: Sequence[int]

    def place_of(self, index: int) -> int:
        """The column in the file of the character at `index`, or of the end of the line."""
        return self.columns[index] if index < len(self.columns) else (self.columns[-1] + 1 if self.columns else 1)


class TooLong(ValueError):
    """Raised where macros would make a line too long."""


def read_macro(text: str) -> Macro | None:
    """What follows ``m:``, as in ``t = {gdG}`` or ``~n2 = {o}n{m}n``; None where it defines nothing."""
    match = _DEFINITION.fullmatch(text)
    return Macro(match[1], match[2]) if match and match[1].strip() else None


def without_entities(line: Rewritten) -> Rewritten:
    """The line with ``&gt;`` and its kin, which web pages leave behind, replaced by the signs that they stand for."""

    def meaning(match: re.Match[str]) -> str:
        return html.unescape(match[0]) if match[0][0] == "&" else match[0]

    return _rewrite(line, _ENTITY, meaning, len(line.text))


def expand(line: Rewritten, macros: Sequence[Macro]) -> Rewritten:
    """The line with all macros written out, later definitions first. Raises TooLong."""
    length = len(line.text)
    if macros and length > LONGEST_LINE:
        raise TooLong
    longest = max(length, min(LONGEST_LINE, MOST_GROWTH * (length + 1)))
    for macro in reversed(macros):
        if macro.written.partition("n")[0] not in line.text:
            continue
        line = _rewrite(line, _pattern(macro), partial(_meant, macro), longest)
    return line


def _pattern(macro: Macro) -> re.Pattern[str]:
    before, n, after = macro.written.partition("n")
    call = re.escape(before) + (f"(?P<n>{_PITCH})" if n else "") + re.escape(after)
    # A digit that follows belongs to a length, as in `~G3` against `~G32`.
    whole = r"(?!\d)" if macro.written[-1].isdigit() else ""
    return re.compile(f"{_LEFT_ALONE}|(?P<call>{call}{whole})")


def _meant(macro: Macro, match: re.Match[str]) -> str:
    if match["call"] is None:
        return match[0]
    if not macro.transposing:
        return macro.meant
    pitch = match["n"]
    return _RELATIVE.sub(lambda letter: _step(pitch, ord(letter[0]) - ord("n")), macro.meant)


def _step(pitch: str, steps: int) -> str:
    """The written note `steps` steps of the scale above `pitch`, without its accidental unless steps is 0."""
    if steps == 0:
        return pitch
    bare = pitch.lstrip("^_=")
    octave = bare[0].islower() + bare.count("'") - bare.count(",")
    octave, rank = divmod(7 * octave + _SCALE.index(bare[0].upper()) + steps, 7)
    letter = _SCALE[rank]
    if octave > 0:
        return letter.lower() + "'" * (octave - 1)
    return letter + "," * -octave


def _rewrite(
    line: Rewritten, pattern: re.Pattern[str], meaning: Callable[[re.Match[str]], str], longest: int
) -> Rewritten:
    """The line with each match of `pattern` replaced; what is put in points to the match's beginning.

    Raises TooLong where the line would be longer than `longest`.
    """
    pieces: list[str] = []
    columns: list[int] = []
    done = grown = 0
    for match in pattern.finditer(line.text):
        meant = meaning(match)
        if meant == match[0]:
            continue
        grown += len(meant) - len(match[0])
        if len(line.text) + grown > longest:
            raise TooLong
        pieces += (line.text[done : match.start()], meant)
        columns += line.columns[done : match.start()]
        columns += [line.columns[match.start()]] * len(meant)
        done = match.end()
    if not done:
        return line
    return Rewritten("".join((*pieces, line.text[done:])), (*columns, *line.columns[done:]))
