"""Takes that are spoilt, each in its own way: their bytes by name, and what is said of them."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from typing import Any

from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.takes.heading import Heading, TuneIdentity, heading_to_text
from companion.schedule.stretch import Stretch
from companion.schedule.timing import Timing

BEGAN = datetime(2026, 1, 2, 20, 15, 3, tzinfo=UTC)
HEADING = Heading(
    BEGAN, "Chanter:MIDI", DEFAULT_MAP, TuneIdentity("One", "one.abc", "1", "f00d"), Timing(), Stretch(0, 12)
)
END_OF_TRACK = b"\0\xff\x2f\0"
NOTES = b"\0\x90\x45\x40\x60\x90\x47\x40\0\x80\x45\0"


def number(value: int) -> bytes:
    """A variable-length quantity."""
    septets = [value & 0x7F]
    while value := value >> 7:
        septets.append(0x80 | value & 0x7F)
    return bytes(reversed(septets))


def meta(kind: int, data: bytes) -> bytes:
    """A meta event at once."""
    return b"\0\xff" + bytes([kind]) + number(len(data)) + data


def chunk(name: bytes, data: bytes) -> bytes:
    """A chunk of a Standard MIDI File."""
    return name + len(data).to_bytes(4, "big") + data


def midi(track: bytes, *, form: int = 0, tracks: int = 1, division: int = 480) -> bytes:
    """A file of one track."""
    header = b"".join(each.to_bytes(2, "big") for each in (form, tracks, division))
    return chunk(b"MThd", header) + chunk(b"MTrk", track + END_OF_TRACK)


def take(text: str) -> bytes:
    """A take with that heading."""
    return midi(meta(0x01, text.encode()) + NOTES)


def changed(**values: Any) -> bytes:
    """A take whose heading has other values, those of tables within it by "table__key"."""
    data = json.loads(heading_to_text(HEADING))
    for name, value in values.items():
        table, _, key = name.rpartition("__")
        (data[table] if table else data)[key] = value
    return take(json.dumps(data))


GOOD = take(heading_to_text(HEADING))

SPOILT: dict[str, tuple[bytes, str]] = {
    "a key signature that there is not": (midi(meta(0x59, b"\x40\x05") + NOTES), ""),
    "the year 1": (changed(began="0001-01-01T00:00:00+00:00"), "'began' is not in the years 1970 to 9000"),
    "the last year": (changed(began="9999-12-31T23:59:59-23:00"), "'began' is not in the years 1970 to 9000"),
    "a heading nested deeply": (take('{"a": ' + "[" * 100_000), "it is nested more than 16 levels deep"),
    "a heading that is no JSON": (take("{began"), "it is not JSON from line 1, column 2 on"),
    "NaN where the tune starts": (changed(tune_starts_s=float("nan")), "NaN is no number"),
    "no end where the tune starts": (changed(tune_starts_s=float("inf")), "Infinity is no number"),
    "a tune that starts in a thousand years": (
        changed(tune_starts_s=3e10),
        "'tune_starts_s' is not a number from -604800 to 604800",
    ),
    "a stretch backwards": (changed(stretch__notes=[4, 0]), "'stretch' does not go forward"),
    "a stretch of words": (changed(stretch__notes=["0", "4"]), "one of 'notes' is not a whole number"),
    "a stretch that is a list": (changed(stretch=[0, 4]), "'stretch' is not a table"),
    "a list as the tune's file": (changed(tune__file=["one.abc"]), "'file' is not a text"),
    "a source of numbers": (changed(source=5), "'source' is not a text"),
    "a map of ten notes": (changed(map={"notes": list(range(60, 70))}), "'notes' is not a row of 9"),
    "a map out of order": (changed(map={"notes": list(range(68, 59, -1))}), "are not the nine notes of a chanter"),
    "a slow-down of nothing": (changed(timing__slow_down=0), "'slow_down' is not a number from 1 to 32"),
    "a tempo of millions": (changed(timing__beats_per_minute=1e9), "'beats_per_minute' is not a number from 10 to 400"),
    "a gracenote of a year": (changed(timing__gracenote_s=3e7), "'gracenote_s' is not a number from 0.005 to 1"),
    "a family that is none": (changed(timing__placements={"curl": "on"}), "'placements' names a family that is none"),
    "a metronome of words": (changed(metronome="yes"), "'metronome' is neither true nor false"),
    "another format": (changed(format="eightholes take 9"), "'format' is none of eightholes take 1"),
    "a header that asks for 4 GB": (b"MThd\xff\xff\xff\xff", "this MIDI file ends too soon"),
    "a track that asks for 4 GB": (midi(NOTES)[:18] + b"\xff\xff\xff\xff\0\x90", "this MIDI file ends too soon"),
    "more tracks than there are": (midi(NOTES, form=1, tracks=65535), "this MIDI file ends too soon"),
    "a text that asks for 256 MB": (midi(b"\0\xff\x01\xff\xff\xff\x7f"), "this MIDI file ends too soon"),
    "a number that never ends": (midi(b"\xff" * 1_000_000), "this MIDI file is spoilt"),
    "a tempo of nothing": (midi(meta(0x51, b"\0\0\0") + NOTES), "this MIDI file is spoilt"),
    "data without a status": (midi(b"\0\x45\x40"), "this MIDI file is spoilt"),
    "a status within a message": (midi(b"\0\x90\x45\x90"), "this MIDI file is spoilt"),
    "a division of nothing": (midi(NOTES, division=0), "this MIDI file is spoilt"),
    "film frames": (midi(NOTES, division=0xE728), "the times in this MIDI file count film frames, not beats"),
    "tracks that are pieces": (midi(NOTES, form=2), "this MIDI file is of format 2"),
    "a year long": (midi((b"\xff\xff\xff\x7f\x90\x45\x40") * 300), "this MIDI file is longer than a week"),
    "a megabyte of notes": (midi(b"\0\x90\x45\x40" + b"\0\x45\x40" * 333_000), "more than 100000 events"),
    "a megabyte of empty texts": (midi(b"\0\xff\x01\0" * 250_000), "more than 100000 events"),
    "a heading of a megabyte": (take('{"a": "' + "x" * 1_000_000 + '"}'), "it holds more than 250000 bytes"),
    "17 MB": (midi(meta(0x7F, bytes(17_000_000))), "the file is larger than 16 MB"),
    "nothing at all": (b"", "this is not a MIDI file"),
}
"""What is said is part of the one line; "" where the file can be read after all."""
