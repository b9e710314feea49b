"""Puts bytes where they tell most: a file whose lengths do not agree is refused before any of it is read."""

from __future__ import annotations

from tests.companion.midi.spoilt import NOTES, meta, midi

RAW, TRACK, HEADING, BOTH = range(4)
_PLAINEST_DIVISION = 480


def take_from(data: bytes) -> bytes:
    """The file that the bytes stand for. By the first of them the rest is the file, a track, a heading, or a heading
    and a track behind the first line end.
    """
    way, rest = data[0] % 4 if data else RAW, data[1:]
    if way == RAW:
        return rest
    if way == HEADING:
        return midi(meta(0x01, rest) + NOTES)
    heading, _, track = rest.partition(b"\n")
    if way == BOTH:
        return midi(meta(0x01, heading) + track)
    division = int.from_bytes(rest[:2], "big")
    return midi(rest[2:], division=division or _PLAINEST_DIVISION)
