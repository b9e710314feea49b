"""Keeps what was heard in sound files, so that none is heard twice: by what a file holds, not by where it lies.

A kept hearing is one file in the program's cache, written whole. One that is spoilt is as good as none.
"""

from __future__ import annotations

import base64
import contextlib
import hashlib
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from companion.files.folders import cache_folder
from companion.files.kept_json import Table, Unfit, parse_table
from companion.files.reading import read_limited
from companion.files.writing import write_whole
from companion.hearing.heard import HeardNote, HeardSound, SoundEvidence, SoundTrouble
from fingering.errors import UserError
from fingering.notes import Note

FOLDER = "heard"
LARGEST_BYTES = 50_000_000
"""More than the four hours of sound that are read at most can hold: some 100,000 notes, 100 bytes each."""

MOST_KEPT = 200
"""Hearings that are kept; a minute of playing is some 40 kB, with an echo, drones or noise some 240 kB. The oldest give
way."""

_NAMED_BY = 32  # hexadecimal digits of each digest
_OTHERS = frozenset({"takes", "live", "microphone"})
"""Folders of `companion.hearing` in which nothing hears a whole sound file."""

_LONGEST_S = 1e6
_MOST_NOTES = 1_000_000


@dataclass(frozen=True, slots=True)
class KeptHearing:
    """What was heard in a sound, and the greatest of its samples, 0 to 1, by which it is played back loud enough."""

    heard: HeardSound
    greatest: float


def content_digest(sound: Path) -> str:
    """What a file's content is known by, wherever it lies. Raises OSError, and ValueError for an impossible name."""
    with sound.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def kept_path(sound: Path, voice: bytes | None = None) -> Path | None:
    """Where the hearing of a sound file is kept, whether it is there yet or not; None where it cannot be.

    voice: by which it is heard, None for none. The name is made of what the file and the voice hold and of the
    program's hearing itself: where any of them changes, it is another.
    """
    try:
        names = [content_digest(sound), hearing_version()]
        if voice is not None:
            names.append(hashlib.sha256(voice).hexdigest())
        return cache_folder() / FOLDER / f"{'-'.join(each[:_NAMED_BY] for each in names)}.json"
    except (OSError, ValueError, UserError):
        return None


@cache
def hearing_version() -> str:
    """What this program's hearing is known by: a digest of its own modules, so that no number has to be raised."""
    digest = hashlib.sha256()
    hearing = Path(__file__).parent.parent
    modules = sorted(path for path in hearing.rglob("*.py") if path.relative_to(hearing).parts[0] not in _OTHERS)
    for path in modules:
        with contextlib.suppress(OSError):
            digest.update(path.read_bytes())
    return digest.hexdigest()


def read_hearing(path: Path) -> KeptHearing | None:
    """What is kept at a path; None where nothing is, and where it cannot be understood."""
    try:
        return _from_table(parse_table(read_limited(path, LARGEST_BYTES, "delete it"), LARGEST_BYTES))
    except (UserError, Unfit):
        return None


def keep_hearing(path: Path, kept: KeptHearing) -> None:
    """Keep a hearing, and no more than MOST_KEPT of them; where the disk refuses, it is heard again the next time."""
    with contextlib.suppress(OSError, UserError):
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, json.dumps(_to_data(kept)).encode(), force=True)
        others = sorted(path.parent.glob("*.json"), key=lambda each: each.stat().st_mtime)
        for old in others[: max(0, len(others) - MOST_KEPT)]:
            old.unlink(missing_ok=True)


def _to_data(kept: KeptHearing) -> dict[str, Any]:
    heard = kept.heard
    return {
        "greatest": kept.greatest,
        "low_a_hz": heard.low_a_hz,
        "notes_hz": heard.notes_hz,
        "drones": heard.drones,
        "noise_db": heard.noise_db,
        "echo_s": heard.echo_s,
        "shortest_s": heard.shortest_s,
        "duration_s": heard.duration_s,
        "notes": [_note_to_data(each) for each in heard.notes],
        "maybe": [_note_to_data(each) for each in heard.maybe],
        "troubles": [{"name": each.name} for each in heard.troubles],
        "evidence": [_evidence_to_data(heard.evidence)] if heard.evidence else [],
    }


def _evidence_to_data(evidence: SoundEvidence) -> dict[str, Any]:
    packed, changes = (base64.b64encode(each).decode() for each in (evidence.packed, evidence.changes))
    return {"begins_s": evidence.begins_s, "hop_s": evidence.hop_s, "packed": packed, "changes": changes}


def _note_to_data(note: HeardNote) -> dict[str, Any]:
    return {
        "from_s": note.at_s,
        "to_s": note.stop_s,
        "note": note.note.letter,
        "sure": note.confidence,
        "or": "".join(each.letter for each in sorted(note.others)),
        "by_pitch": note.by_pitch,
    }


def _from_table(data: Table) -> KeptHearing:
    troubles = {each.name: each for each in SoundTrouble}
    heard = HeardSound(
        low_a_hz=data.number("low_a_hz", 0.0, _LONGEST_S),
        notes_hz=data.numbers("notes_hz", len(Note), 0.0, _LONGEST_S),
        drones=data.flag("drones"),
        noise_db=data.number("noise_db", -_LONGEST_S, _LONGEST_S),
        echo_s=data.number("echo_s", 0.0, _LONGEST_S),
        shortest_s=data.number("shortest_s", 0.0, _LONGEST_S),
        duration_s=data.number("duration_s", 0.0, _LONGEST_S),
        notes=tuple(_notes(data.tables_up_to("notes", _MOST_NOTES))),
        maybe=tuple(_notes(data.tables_up_to("maybe", _MOST_NOTES))),
        troubles=tuple(each.one_of("name", troubles) for each in data.tables_up_to("troubles", len(troubles))),
        evidence=next(map(_evidence, data.tables_up_to("evidence", 1)), None),
    )
    return KeptHearing(heard, data.number("greatest", 0.0, _LONGEST_S))


def _evidence(row: Table) -> SoundEvidence:
    begins_s, hop_s = row.number("begins_s", -_LONGEST_S, _LONGEST_S), row.number("hop_s", 1e-4, 1.0)
    packed, changes = (row.packed(each, LARGEST_BYTES) for each in ("packed", "changes"))
    found = SoundEvidence(begins_s, hop_s, packed, changes)
    try:
        found.change_costs()
    except ValueError as error:
        raise Unfit("'packed' holds no evidence") from error
    return found


def _notes(rows: Sequence[Table]) -> Iterator[HeardNote]:
    letters = {each.letter: each for each in Note}
    before_s = 0.0
    for row in rows:
        at_s = row.number("from_s", before_s - 1e-6, _LONGEST_S)
        stop_s = row.number("to_s", at_s, _LONGEST_S)
        others = row.text("or")
        if not set(others) <= set(letters):
            raise Unfit("'or' names what is no note")
        named = frozenset(letters[each] for each in others)
        sure, by_pitch = row.number("sure", 0.0, 1.0), row.flag("by_pitch")
        yield HeardNote(at_s, stop_s, row.one_of("note", letters), sure, named, by_pitch)
        before_s = at_s
