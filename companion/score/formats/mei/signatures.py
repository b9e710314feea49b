"""Reads key signatures and metres of MEI."""

from __future__ import annotations

import re
from types import MappingProxyType

from companion.score.abc.header.fields import read_meter
from companion.score.abc.header.keys import SHARPS_IN_ORDER, Key, mode_sharps
from companion.score.formats.xml.tree import Element
from companion.score.model import COMMON_TIME, Meter

_COUNT = re.compile(r"(\d)([sf])|0")
_TONICS = ("Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#")
_ALL_NATURAL = 7
_LETTERS = frozenset(SHARPS_IN_ORDER)
_ALTERATIONS = MappingProxyType({"s": 1, "f": -1, "n": 0, "ss": 2, "x": 2, "ff": -2})
_SIGNS = MappingProxyType({1: "^", -1: "_", 0: "=", 2: "^^", -2: "__"})
NO_SIGNATURE = Key("none", {})
"""A key is known by its name, so that this one must not have that of the pipe scale, in which C and F are sharp."""

_SYMBOLS = MappingProxyType({"common": COMMON_TIME, "cut": Meter(2, 2, "C|")})


def key_of(signature: str, mode: str, accidentals: tuple[Element, ...] = ()) -> Key | None:
    """The key of a signature ("2s", "1f", "0", "mixed"); None where it is not told.

    accidentals: the `keyAccid` elements of one that is no plain row of sharps or flats.
    """
    if accidentals:
        pairs = [(each.get("pname").upper(), _ALTERATIONS.get(each.get("accid"))) for each in accidentals]
        altered = {letter: by for letter, by in pairs if letter in _LETTERS and by is not None}
        named = " ".join(f"{_SIGNS[by]}{letter.lower()}" for letter, by in altered.items())
        return Key(f"none {named}".strip(), altered)
    match = _COUNT.fullmatch(signature)
    if match is None:
        return None
    count = int(match[1] or 0)
    sharps = -count if match[2] == "f" else count
    if abs(sharps) > _ALL_NATURAL:
        return None
    letters = SHARPS_IN_ORDER[:sharps] if sharps > 0 else SHARPS_IN_ORDER[sharps:] if sharps else ""
    return Key(_name(sharps, mode), dict.fromkeys(letters, 1 if sharps > 0 else -1))


def _name(sharps: int, mode: str) -> str:
    """The name of a key as ABC has it: "D", "Bm", "Amix"; "none" without a signature."""
    short = mode[:3].lower()
    offset = mode_sharps(short)
    if not sharps and not offset:
        return NO_SIGNATURE.text
    tonic = sharps - (offset or 0)
    if offset is None or abs(tonic) > _ALL_NATURAL:
        short, tonic = "", sharps
    ending = {"maj": "", "ion": "", "min": "m", "aeo": "m"}.get(short, short)
    return f"{_TONICS[tonic + _ALL_NATURAL]}{ending}"


def meter_of(count: str, unit: str, symbol: str) -> Meter | None:
    """The metre of a count ("6", "2+3"), a unit ("8") and a symbol ("common", "cut"); None where it tells none."""
    if symbol in _SYMBOLS:
        return _SYMBOLS[symbol]
    return read_meter(f"{count.replace(' ', '')}/{unit}") if count and unit else None
