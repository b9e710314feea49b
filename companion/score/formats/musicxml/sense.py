"""Tells elements of MusicXML that make sense from those that Verovio must not see: a metre of 3/0 ends its process."""

from __future__ import annotations

import re
from collections.abc import Mapping, Set
from types import MappingProxyType

from companion.score.formats.musicxml.vocabulary import TYPES

_RANGES: Mapping[str, tuple[float, float]] = MappingProxyType(
    {
        "divisions": (1, 1_000_000),
        "duration": (1, 100_000_000),
        "actual-notes": (1, 64),
        "normal-notes": (1, 64),
        "octave": (0, 9),
        "alter": (-3, 3),
        "key-alter": (-3, 3),
        "root-alter": (-3, 3),
        "bass-alter": (-3, 3),
        "fifths": (-7, 7),
        "multiple-rest": (1, 500),
        "staves": (1, 20),
        "staff": (1, 20),
        "line": (1, 5),
        "clef-octave-change": (-3, 3),
        "octave-change": (-3, 3),
        "diatonic": (-50, 50),
        "chromatic": (-50, 50),
        "per-minute": (5, 1000),
    }
)
_STEPS = frozenset("ABCDEFG")
_CHOICES: Mapping[str, Set[str]] = MappingProxyType(
    {
        "step": _STEPS,
        "key-step": _STEPS,
        "root-step": _STEPS,
        "bass-step": _STEPS,
        "beat-type": frozenset(str(2**power) for power in range(8)),
        "type": frozenset((*TYPES, "long", "1024th")),
        "beat-unit": frozenset(TYPES),
    }
)
_WITHIN_NUMBERS = re.compile(r"[+-]?\d{1,9}(?:\.\d{1,9})?", re.ASCII)
_BEATS = re.compile(r"\d{1,3}(?:\s*\+\s*\d{1,3})*", re.ASCII)

# What an element must hold: one of these groups of children.
_NEEDED: Mapping[str, tuple[Set[str], ...]] = MappingProxyType(
    {
        "time": (frozenset({"beats", "beat-type"}), frozenset({"senza-misura"})),
        "time-modification": (frozenset({"actual-notes", "normal-notes"}),),
        "key": (frozenset({"fifths"}), frozenset({"key-step", "key-alter"})),
        "clef": (frozenset({"sign"}),),
        "transpose": (frozenset({"chromatic"}),),
        "pitch": (frozenset({"step", "octave"}),),
        "metronome": (frozenset({"beat-unit", "per-minute"}),),
        "harmony": (frozenset({"root", "kind"}),),
        "root": (frozenset({"root-step"}),),
        "bass": (frozenset({"bass-step"}),),
        "backup": (frozenset({"duration"}),),
        "forward": (frozenset({"duration"}),),
        "measure-style": (frozenset({"multiple-rest"}),),
    }
)


def makes_sense(tag: str, text: str, children: Set[str]) -> bool:
    """Whether an element holds what it must, and a number or name that it can mean."""
    groups = _NEEDED.get(tag)
    if groups is not None:
        return any(group <= children for group in groups)
    written = text.strip()
    if tag in _RANGES:
        low, high = _RANGES[tag]
        return _WITHIN_NUMBERS.fullmatch(written) is not None and low <= float(written) <= high
    if tag == "beats":
        return _BEATS.fullmatch(written) is not None and sum(map(int, re.findall(r"\d+", written))) > 0
    return tag not in _CHOICES or written in _CHOICES[tag]
