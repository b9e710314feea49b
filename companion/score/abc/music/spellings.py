"""Parses the spellings of notes, chords and gracenote groups, each distinct spelling once."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from companion.files.lines import quoted
from companion.score.abc.header.keys import Key, Pitch, pitch
from companion.score.abc.music.lengths import read_length
from companion.score.abc.music.tokens import BROKEN, LENGTH, PITCH
from companion.score.abc.text.remembering import remembered
from companion.score.form.outside import SCALE, Outside
from companion.score.form.ticks import fraction_to_ticks, ticks_to_fraction
from companion.score.problems import ProblemKind
from fingering.notes import Note

_NOTE = re.compile(rf"({PITCH}|[xz])({LENGTH})(-?)({BROKEN}?)")
_GRACENOTE = re.compile(rf"(?P<note>{PITCH}{LENGTH})|(?P<passed>[\s`()<>-]+)|(?P<stray>.)")
_CHORD_NOTE = re.compile(rf"({PITCH})({LENGTH})")

MOST_SPELLINGS = 10_000
MOST_CACHES = 8
"""How many keys and units have a cache, and how many spellings each holds: far more than a book of pipe music has, so
that files of noise cannot fill the memory.
"""

MOST_GRACENOTES = 64
LONGEST_GROUP = 16 * MOST_GRACENOTES
"""MOST_GRACENOTES: before one note; the longest movements of ceol mor have some twenty. LONGEST_GROUP: characters of
one group.
"""


@dataclass(frozen=True, slots=True)
class Trouble:
    """What is wrong with a spelling.

    matter: a name for what is reported once a tune, "" for what is reported each time. unmeasured: whether its length
    could not be read.
    """

    kind: ProblemKind
    what: str
    remedy: str
    matter: str = ""
    unmeasured: bool = False


@dataclass(frozen=True, slots=True)
class ParsedNote:
    """A written note as parsed.

    note: the chanter's note, None for a rest and for a note outside it. ticks, length: its length in ticks and as a
    fraction of a whole note. tied, broken: whether a tie and a broken-rhythm mark follow it. letter: its capital
    letter, and `sign` its accidental, both "" for a rest. remarkable: whether it needs more than being played, such as
    a report. midi: the MIDI note as written, 0 for a rest.
    """

    note: Note | None
    ticks: int
    length: Fraction
    tied: bool
    broken: str
    letter: str
    sign: str
    midi: int
    trouble: Trouble | Outside | None
    remarkable: bool


@dataclass(frozen=True, slots=True)
class ParsedGracenotes:
    """A gracenote group as parsed, with one entry in each tuple for each gracenote that the chanter has.

    That is its note, its relative length, its distance in characters from the opening brace, and its offset from the
    note right after the group. remarkable: as for `ParsedNote`.
    """

    notes: tuple[Note, ...]
    lengths: tuple[Fraction, ...]
    positions: tuple[int, ...]
    offsets: tuple[tuple[int, int], ...]
    acciaccatura: bool
    troubles: tuple[tuple[int, Trouble | Outside], ...]
    remarkable: bool


def read_note(text: str, key: Key, unit: Fraction) -> ParsedNote:
    """Parse one spelling, such as ``c3/2>``, in a key and with a unit note length."""
    match = _NOTE.fullmatch(text)
    assert match is not None, text
    written, length_text, tie, broken = match.groups()
    ticks, readable = _measured(length_text, unit)
    trouble: Trouble | Outside | None = None if readable else _no_length(length_text)
    duration = ticks_to_fraction(ticks)
    if written in "xz":
        return ParsedNote(None, ticks, duration, False, broken, "", "", 0, trouble, trouble is not None)
    name = written.lstrip("^_=")
    sign = written[: -len(name)]
    found = pitch(written, key)
    trouble = trouble or _pitch_trouble(written, found, key)
    return ParsedNote(
        found.note,
        ticks,
        duration,
        tie == "-",
        broken,
        name[0].upper(),
        sign,
        found.midi,
        trouble,
        bool(sign or trouble),
    )


@remembered
def _measured(text: str, unit: Fraction) -> tuple[int, bool]:
    """The ticks that a written length lasts, and whether it can be read; one that cannot lasts a unit note length."""
    length = read_length(text)
    return fraction_to_ticks((length or Fraction(1)) * unit), length is not None


def _no_length(text: str) -> Trouble:
    what = f"{quoted(text)} is no note length"
    return Trouble(ProblemKind.LENGTH_UNREADABLE, what, "write it as 2, /2 or 3/2", unmeasured=True)


def _pitch_trouble(written: str, found: Pitch, key: Key) -> Trouble | Outside | None:
    """What is to be reported about a note in a key, None for nothing."""
    if found.note is None:
        return Outside(written, key.text, found.midi)
    if not found.bent:
        return None
    what = f"under K:{key.text} '{written}' is not the chanter's {found.note.label}, but is played as it"
    return Trouble(ProblemKind.LETTER_BENT, what, "write K:HP", f"{key.text}:{written[0]}")


def read_graces(text: str, cache: NoteCache) -> ParsedGracenotes:
    """Parse one group with its braces, such as ``{gef}``, ``{/g}`` or ``{g2 d}`` (ABC 2.1 section 4.12).

    cache: the parsed notes under the unit 1, since lengths of gracenotes are only compared within their group.
    """
    notes: list[Note] = []
    lengths: list[Fraction] = []
    positions: list[int] = []
    troubles: list[tuple[int, Trouble | Outside]] = []
    if len(text) > LONGEST_GROUP:
        what = f"more than {MOST_GRACENOTES} gracenotes lead onto one note, so they are left out"
        trouble = Trouble(ProblemKind.GRACENOTES_BEYOND_MEASURE, what, "write those that belong to it")
        return ParsedGracenotes((), (), (), (), acciaccatura=False, troubles=((0, trouble),), remarkable=True)
    inside = text.rstrip(" \t`")[1:-1]
    acciaccatura = inside.startswith("/")
    for match in _GRACENOTE.finditer(inside, int(acciaccatura)):
        at = match.start() + 1
        if match.lastgroup == "note":
            parsed = cache[match[0]]
            if parsed.note is not None:
                notes.append(parsed.note)
                lengths.append(parsed.length)
                positions.append(at)
            if parsed.trouble:
                troubles.append((at, parsed.trouble))
        elif match.lastgroup == "stray":
            what = f"{quoted(match[0])} has no meaning among gracenotes"
            troubles.append((at, Trouble(ProblemKind.GRACENOTE_UNREADABLE, what, f"take it out, {SCALE}")))
    offsets = tuple((0, len(text) - at) for at in positions)
    parts = tuple(notes), tuple(lengths), tuple(positions), offsets
    return ParsedGracenotes(*parts, acciaccatura, tuple(troubles), acciaccatura or bool(troubles))


def read_chord(text: str, cache: NoteCache) -> ParsedNote:
    """Parse several notes at once, ``[Ae]2``, as one: the highest on the chanter, with the length of the first."""
    inside, _, after = text[1:].rpartition("]")
    notes = [cache["".join(parts)] for parts in _CHORD_NOTE.findall(inside)]
    chosen = max(notes, key=lambda parsed: -1 if parsed.note is None else parsed.note)
    outer = cache[f"z{after.replace('-', '')}"]
    ticks = notes[0].ticks * outer.ticks // cache["z"].ticks
    return replace(
        chosen,
        ticks=ticks,
        length=ticks_to_fraction(ticks),
        tied="-" in text,
        broken=outer.broken,
        trouble=outer.trouble or chosen.trouble,
    )


class NoteCache(dict[str, ParsedNote]):
    """A cache of notes by their spelling, for one key and unit note length; a missing one is parsed when asked for."""

    def __init__(self, key: Key, unit: Fraction) -> None:
        super().__init__()
        self._key = key
        self._unit = unit

    def __missing__(self, text: str) -> ParsedNote:
        parsed = read_note(text, self._key, self._unit)
        if len(self) < MOST_SPELLINGS:
            self[text] = parsed
        return parsed


class GracenoteCache(dict[str, ParsedGracenotes]):
    """A cache of gracenote groups by their spelling, for one key; a missing one is parsed when asked for."""

    def __init__(self, key: Key) -> None:
        super().__init__()
        self._note_cache = NoteCache(key, Fraction(1))

    def __missing__(self, text: str) -> ParsedGracenotes:
        group = read_graces(text, self._note_cache)
        if len(self) < MOST_SPELLINGS:
            self[text] = group
        return group


@lru_cache(maxsize=MOST_CACHES)
def note_cache(key: Key, unit: Fraction) -> NoteCache:
    """The cache of notes for a key and a unit note length."""
    return NoteCache(key, unit)


@lru_cache(maxsize=MOST_CACHES)
def gracenote_cache(key: Key) -> GracenoteCache:
    """The cache of gracenote groups for a key."""
    return GracenoteCache(key)
