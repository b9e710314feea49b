"""A published table as referee: Debian lilypond-data's bagpipe.ly, read where it lies.

Every gracenote sequence in it is named and spelled by our catalogue, or listed here with the reason why not.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from functools import cache

import pytest

from fingering.embellishments import Family, catalogue, entries_onto, recognise, spell
from fingering.embellishments.rows import SpellingSource
from fingering.errors import UserError
from fingering.notes import Note
from tests.referees import require_file

TABLE = "/usr/share/lilypond/*/ly/bagpipe.ly"
# One definition of the table: a name and the gracenotes between the innermost braces.
DEFINITION = re.compile(r"^(\w+)\s*=\s*\{\s*\\pgrace\s*\{(.*?)\}\s*\}", re.MULTILINE)
WORD = re.compile(r"[A-Ga-g](?=[\d\s\[\]]|$)")
STEPS = "GABcdefga"  # ours; the file writes G a b c d e f g A, since its upper-case A is high A
PITCHES = dict(zip("GabcdefgA", STEPS, strict=True))

NOT_PLAYABLE = "the table's own remark: there for consistency only, it cannot be played"
WHY_NOT = {
    "aA": NOT_PLAYABLE,
    "afA": NOT_PLAYABLE,
    "agaA": NOT_PLAYABLE,
    "afgA": NOT_PLAYABLE,
    "fA": NOT_PLAYABLE,
    "dGeGfA": "it strikes low G once and low A once; any crunluath that we know strikes one of them twice",
}


@cache
def published() -> tuple[tuple[str, str], ...]:
    """All definitions as (name, gracenotes in our ABC letters)."""
    text = re.sub(r"\\stemspace #'\([^)]*\)", "", require_file(TABLE).read_text(encoding="utf-8"))
    found = DEFINITION.findall(text)
    return tuple((name, "".join(PITCHES[word] for word in WORD.findall(body))) for name, body in found)


def read(letters: str) -> tuple[Note, ...]:
    """The notes that ABC letters stand for."""
    return tuple(map(Note.from_letter, letters))


def named_onto(letters: str) -> Iterator[Note]:
    """The melody notes onto which a sequence has a name that spells it back."""
    group = read(letters)
    for onto in Note:
        for before in (None, *Note):
            found = recognise(group, onto=onto, before=before)
            if found.family is not Family.UNNAMED and group == _spelled(found.name, onto, before):
                yield onto
                break


def _spelled(name: str, onto: Note, before: Note | None) -> tuple[Note, ...]:
    try:
        return spell(name, onto=onto, before=before)
    except UserError:
        return ()


def test_the_whole_table_is_read() -> None:
    """As many definitions as the file has, none of them empty."""
    text = require_file(TABLE).read_text(encoding="utf-8")
    assert len(published()) == len(re.findall(r"^\w+\s*=\s*\{\s*\\pgrace", text, re.MULTILINE)) > 150
    assert all(letters for _, letters in published())


def test_every_published_sequence_is_named_and_spelled_or_has_its_reason() -> None:
    """The sequences without a name are exactly those that WHY_NOT explains."""
    sequences = {letters for _, letters in published()}
    without = {letters for letters in sequences if not list(named_onto(letters))}
    assert without == set(WHY_NOT)


def test_sequences_given_note_by_note_are_named_onto_that_note() -> None:
    """Where the table has one definition for each of five notes or more, its last letter is the melody note."""
    series = defaultdict(list)
    for name, letters in published():
        if name[-1] in PITCHES and len(letters) > 1:
            series[name[:-1]].append((Note.from_letter(PITCHES[name[-1]]), letters))
    checked = [pair for pairs in series.values() if len(pairs) >= 5 for pair in pairs if pair[1] not in WHY_NOT]
    missing = [(onto.label, letters) for onto, letters in checked if onto not in named_onto(letters)]
    assert len(checked) > 80
    assert missing == []


@pytest.mark.parametrize("onto", Note)
def test_the_catalogue_holds_more_than_a_few_onto_every_note(onto: Note) -> None:
    """Singles, strikes and doublings at least."""
    assert len(entries_onto(onto)) >= 10


def test_what_the_catalogue_calls_published_is_in_the_table() -> None:
    """A row that names the table as its source has its gracenotes from there."""
    sequences = {letters for _, letters in published()}
    claimed = [entry for entry in catalogue() if entry.source is SpellingSource.LILYPOND]
    gracenotes = {"".join(note.letter for note in entry.embellishment.gracenotes) for entry in claimed}
    assert gracenotes <= sequences
