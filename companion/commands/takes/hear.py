"""`eightholes hear`: tells the notes that a chanter plays in a recording."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from companion.commands.shared.progress import percent_shown
from companion.files.lines import one_line
from companion.hearing.files.sound_file import open_sound
from companion.hearing.hear import hear
from companion.hearing.heard import HeardNote, HeardSound, SoundTrouble
from fingering.errors import UserError
from fingering.notes import Note

COLUMNS = "{:>10}  {:<7}  {:>6}  {}"
SURE = 0.8
"""A note that is less sure is marked."""

REST_LETTER = "z"


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's options."""
    parser.add_argument("file", metavar="SOUND", type=Path, help="WAV, FLAC, MP3, Ogg, M4A, or a film with sound")
    parser.add_argument("--json", action="store_true", help="print JSON: low_a_hz, drones, noise_db, events")


def run(options: argparse.Namespace) -> int:
    """Print what is heard. Raises UserError for what is no sound of a chanter."""
    sound = open_sound(options.file)
    try:
        heard = hear(sound, percent_shown("hearing"))
    except UserError as error:
        raise UserError(error.what, error.remedy, error.where or one_line(str(options.file))) from None
    print(as_json(heard) if options.json else "\n".join(as_lines(heard)))
    for trouble in heard.troubles:
        print(f"eightholes: {one_line(str(options.file))}: {trouble.value}", file=sys.stderr)
    return 0


def as_json(heard: HeardSound) -> str:
    """One JSON object. Times are ms from the first sample; a rest within the playing is "z"."""
    data = {
        "low_a_hz": round(heard.low_a_hz, 2),
        "drones": heard.drones,
        "noise_db": round(heard.noise_db, 1),
        "events": list(_events(heard)),
        "maybe": [_event(each) for each in heard.maybe],
        "troubles": [each.name.lower() for each in heard.troubles],
    }
    return json.dumps(data, indent=1)


def _events(heard: HeardSound) -> Iterator[dict[str, Any]]:
    for rank, each in enumerate(heard.notes):
        yield _event(each)
        after = heard.notes[rank + 1].at_s if rank + 1 < len(heard.notes) else None
        if after is not None and after > each.stop_s + 1e-9:
            rest_ms = round(1000.0 * (after - each.stop_s), 1)
            yield {"at_ms": round(1000.0 * each.stop_s, 1), "note": REST_LETTER, "ms": rest_ms, "confidence": 1.0}


def _event(note: HeardNote) -> dict[str, Any]:
    others = {"or": [each.letter for each in sorted(note.others)]} if note.others else {}
    return {
        "at_ms": round(1000.0 * note.at_s, 1),
        "note": note.note.letter,
        "ms": round(1000.0 * note.length_s, 1),
        "confidence": note.confidence,
        **others,
    }


def as_lines(heard: HeardSound) -> Iterator[str]:
    """What was heard, for people."""
    drones = "with drones" if heard.drones else "no drones"
    yield f"low A {heard.low_a_hz:.1f} Hz, {drones}, all else {-heard.noise_db:.0f} dB below the notes"
    yield f"{len(heard.notes)} notes in {heard.duration_s:.1f} s"
    if SoundTrouble.ECHOING in heard.troubles or heard.echo_s:
        yield f"the room echoes for {heard.echo_s:.1f} s"
    yield COLUMNS.format("ms", "note", "lasts", "").rstrip()
    for each in heard.notes:
        yield COLUMNS.format(
            f"{1000 * each.at_s:.0f}", each.note.label, f"{1000 * each.length_s:.0f}", _doubt(each)
        ).rstrip()
    if heard.maybe:
        yield f"{len(heard.maybe)} more may have sounded, and could not be heard apart"


def _doubt(note: HeardNote) -> str:
    others: list[Note] = sorted(note.others)
    if others:
        return f"(or {' or '.join(each.label for each in others)})"
    return "" if note.confidence >= SURE else "(not sure)"
