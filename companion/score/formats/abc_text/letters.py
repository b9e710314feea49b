"""Spells the nine notes in a key: with an accidental where the bare letter would be another note, or a doubtful one."""

from __future__ import annotations

from collections.abc import Mapping

from companion.score.abc.header.keys import PIPE_KEY, Key, pitch, read_key
from fingering.notes import Note

_SIGNS = ("", "=", "^", "_")


def letters_in(key: Key) -> Mapping[Note, str]:
    """How each of the nine notes is written in a key: the bare letter where the key makes it that note."""
    return {note: next(sign for sign in _SIGNS if _is(sign + note.letter, note, key)) + note.letter for note in Note}


def key_to_write(text: str) -> tuple[str, Key]:
    """The K: field for a key by its name, and what it is read as; the pipe scale where no key has that name."""
    key = read_key(text)
    return (text, key) if key is not None and key.text == text else (PIPE_KEY.text, PIPE_KEY)


def _is(written: str, note: Note, key: Key) -> bool:
    found = pitch(written, key)
    return found.note is note and not found.bent
