"""Reads the texts of M:, L: and Q: fields: metres, unit note lengths, tempos."""

from __future__ import annotations

import re
from fractions import Fraction

from companion.score.abc.text.remembering import remembered
from companion.score.abc.text.strings import plain_text
from companion.score.model import COMMON_TIME, FREE, Meter, Tempo

# Letters of ABC 2.1 section 3 with what they hold; E and the two others are fields of older versions that readers meet.
KNOWN_FIELDS = frozenset("ABCDFGHIKLMmNOPQRrSsTUVWwXZ+")
BODY_FIELDS = frozenset("IKLMmNPQRrsTUVWw+")

_PLAIN_METER = re.compile(r"(\d{1,3})/(\d{1,3})")
_SUM_METER = re.compile(r"\(?(\d{1,2}(?:\+\d{1,2})+)\)?/(\d{1,3})")
_METER_WITHIN = re.compile(r"(?<![\d/])(\d{1,2}/\d{1,2}|C\||C)(?![\d/\w|])")
_UNIT = re.compile(r"1(?:/(\d{1,3}))?")
_UNIT_WITHIN = re.compile(r"(?<!\d)1/(\d{1,3})(?!\d)")
_TEMPO_WORD = re.compile(r'"([^"]*)"')
_NUMBER = r"\d{1,4}(?:\.\d{1,6})?"
_TEMPO = re.compile(rf"((?:\d{{1,3}}/\d{{1,3}}\s*)+)=\s*({_NUMBER})")
_OLD_TEMPO = re.compile(rf"(?:C(\d{{0,2}})\s*=\s*)?({_NUMBER})")
_TEMPO_WITHIN = re.compile(rf"(\d{{1,3}}/\d{{1,3}})\s*=\D{{0,6}}?({_NUMBER})(?:\s*[-–]\s*({_NUMBER}))?")
_FRACTION = re.compile(r"(\d+)/(\d+)")
_MAX_UNIT = 512
_WRITTEN_OUT = frozenset("mU")
_OBEYED = re.compile(r"\s*(?:MIDI\s*=?\s*transpose|linebreak)\b", re.IGNORECASE)
_BEATS = (Fraction(1, 64), Fraction(4))
_RATES = (5.0, 1000.0)


@remembered
def read_meter(text: str) -> Meter | None:
    """What follows ``M:`` (``6/8``, ``C``, ``C|``, ``(2+3)/8``, ``none`` or nothing); None where it is no metre."""
    text = text.strip()
    if text in ("C", "c"):
        return COMMON_TIME
    if text in ("C|", "c|"):
        return Meter(2, 2, "C|")
    if text.lower() in ("none", ""):
        return FREE
    match = _PLAIN_METER.fullmatch(text.replace(" ", "")) or _SUM_METER.fullmatch(text.replace(" ", ""))
    if match is None:
        return None
    beats, unit = sum(map(int, match[1].split("+"))), int(match[2])
    return Meter(beats, unit, text) if beats and _is_power_of_two(unit) else None


def meter_within(text: str) -> Meter | None:
    """The first metre among other words, as in ``2/4 (march)``; None where there is none."""
    match = _METER_WITHIN.search(text)
    return read_meter(match[1]) if match else None


@remembered
def read_unit(text: str) -> Fraction | None:
    """What follows ``L:``: ``1`` or ``1/n``, n a power of two up to 512; None for anything else."""
    match = _UNIT.fullmatch(text.replace(" ", ""))
    return _unit(match[1] or "1") if match else None


def unit_within(text: str) -> Fraction | None:
    """The first unit note length among other words, as in ``1/8.``; None where there is none."""
    match = _UNIT_WITHIN.search(text)
    return _unit(match[1]) if match else None


def _unit(below: str) -> Fraction | None:
    return Fraction(1, int(below)) if _is_power_of_two(int(below)) and int(below) <= _MAX_UNIT else None


def default_unit(meter: Meter) -> Fraction:
    """The unit note length without ``L:``: 1/16 in a metre below 3/4, else 1/8 (ABC 2.1 section 3.1.7)."""
    length = meter.bar_length
    return Fraction(1, 16) if length is not None and length < Fraction(3, 4) else Fraction(1, 8)


@remembered
def read_tempo(text: str, unit: Fraction) -> Tempo | str | None:
    """Read what follows ``Q:``: a tempo; the text itself where only words stand there; None where it is neither.

    unit: the unit note length. The forms are those of ABC 2.1 section 3.1.8, and ``120`` and ``C3=40`` of older
    versions, which count unit note lengths.
    """
    words = _TEMPO_WORD.findall(text)
    numbers = _TEMPO_WORD.sub("", text).strip()
    said = plain_text(" ".join(words))
    if not numbers:
        return said or None
    if match := _TEMPO.fullmatch(numbers):
        pairs = _FRACTION.findall(match[1])
        if len(pairs) > 4 or any(int(below) == 0 for _, below in pairs):
            return None
        beat = sum((Fraction(int(above), int(below)) for above, below in pairs), Fraction(0))
    elif match := _OLD_TEMPO.fullmatch(numbers):
        beat = unit * int(match[1] or 1)
    else:
        return None
    return sensible_tempo(beat, float(match[2]), said)


def tempo_within(text: str) -> Tempo | None:
    """The tempo among other words, as in ``1/4 = ca. 80``, or the middle of ``1/2=180-220``; None without any."""
    match = _TEMPO_WITHIN.search(_TEMPO_WORD.sub("", text))
    if match is None:
        return None
    above, _, below = match[1].partition("/")
    if int(below) == 0:
        return None
    rates = [float(rate) for rate in match.groups()[1:] if rate]
    return sensible_tempo(Fraction(int(above), int(below)), sum(rates) / len(rates), "")


def sensible_tempo(beat: Fraction, rate: float, said: str) -> Tempo | None:
    """A tempo within what can be played, else None."""
    possible = _BEATS[0] <= beat <= _BEATS[1] and _RATES[0] <= rate <= _RATES[1]
    return Tempo(beat, rate, said) if possible else None


def is_old_tempo(text: str) -> bool:
    """Whether a tempo is written in a form that ABC 2.1 only tolerates."""
    return _OLD_TEMPO.fullmatch(_TEMPO_WORD.sub("", text).strip()) is not None


def is_spent(key: str, text: str) -> bool:
    """Whether a field has done its work once a tune is read, so that the tune is not to be written with it again.

    That is so of macros and symbols, which are written out, of tempos, and of directives by which it was transposed.
    """
    if key == "Q":
        return not isinstance(read_tempo(text, Fraction(1, 8)), str)
    return key in _WRITTEN_OUT or (key == "I" and _OBEYED.match(text) is not None)


def _is_power_of_two(number: int) -> bool:
    return number > 0 and number & (number - 1) == 0
