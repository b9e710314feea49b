"""What has a name of its own in MusicXML: decorations, jumps, kinds of chord, values of notes."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType

from companion.score.formats.musicxml.vocabulary import TYPES
from companion.score.staff.values import NoteValue

# Decorations of ABC 2.1 section 4.14 by the element of `notations` that holds them, and its own; the others are lost.
DECORATIONS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "trill": ("ornaments", "trill-mark"),
        "turn": ("ornaments", "turn"),
        "lowermordent": ("ornaments", "mordent"),
        "mordent": ("ornaments", "mordent"),
        "uppermordent": ("ornaments", "inverted-mordent"),
        "pralltriller": ("ornaments", "inverted-mordent"),
        "upbow": ("technical", "up-bow"),
        "downbow": ("technical", "down-bow"),
        "accent": ("articulations", "accent"),
        "emphasis": ("articulations", "accent"),
        ">": ("articulations", "accent"),
        "staccato": ("articulations", "staccato"),
        "tenuto": ("articulations", "tenuto"),
        "wedge": ("articulations", "spiccato"),
        "marcato": ("articulations", "strong-accent"),
        "fermata": ("fermata", ""),
    }
)

JUMPS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "fine": ("Fine", "fine"),
        "D.C.": ("D.C.", "dacapo"),
        "dacapo": ("D.C.", "dacapo"),
        "D.C.alfine": ("D.C. al Fine", "dacapo"),
        "D.C.alcoda": ("D.C. al Coda", "dacapo"),
        "D.S.": ("D.S.", ""),
        "D.S.alfine": ("D.S. al Fine", ""),
        "D.S.alcoda": ("D.S. al Coda", ""),
        "dacoda": ("To Coda", ""),
    }
)
"""Jumps with the words that stand under the staff, and the attribute of `sound` that has players follow them."""

_KINDS: Mapping[str, str] = MappingProxyType(
    {
        "": "major",
        "m": "minor",
        "min": "minor",
        "7": "dominant",
        "m7": "minor-seventh",
        "maj7": "major-seventh",
        "6": "major-sixth",
        "m6": "minor-sixth",
        "9": "dominant-ninth",
        "dim": "diminished",
        "dim7": "diminished-seventh",
        "aug": "augmented",
        "+": "augmented",
        "sus": "suspended-fourth",
        "sus4": "suspended-fourth",
        "sus2": "suspended-second",
        "5": "power",
    }
)
_CHORD = re.compile(r"([A-G])([#b]?)([a-z0-9+]*)(?:/([A-G])([#b]?))?")
_ALTERS = MappingProxyType({"#": "1", "b": "-1"})


def chord_parts(text: str) -> tuple[str, str, str, str, str, str] | None:
    """Root, its alteration, kind, how the kind is written, bass, its alteration, "" for none; None for other words."""
    match = _CHORD.fullmatch(text)
    if match is None or match[3] not in _KINDS:
        return None
    root, sign, kind, bass, bass_sign = match.groups(default="")
    return root, _ALTERS.get(sign, ""), _KINDS[kind], kind, bass, _ALTERS.get(bass_sign, "")


def type_of(value: NoteValue) -> str:
    """The name of a note value: "quarter", "32nd"."""
    return TYPES[value.base.bit_length()]
