"""Reads the lengths of notes and rests of MEI."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from companion.score.form.ticks import fraction_to_ticks
from companion.score.formats.xml.tree import Element

_MOST_DOTS = 4
_NAMED = {"breve": Fraction(2), "long": Fraction(4)}
_PLAIN = {str(2**power): Fraction(1, 2**power) for power in range(12)}
_MOST_TICKS_TOLD = 1_000_000_000


@lru_cache(maxsize=256)
def length_of_value(value: str, dots: str = "") -> Fraction | None:
    """The length of a value ("4", "32", "breve") with dots, in whole notes; None where it is none."""
    plain = _NAMED.get(value) or _PLAIN.get(value)
    count = int(dots) if dots.isdecimal() and len(dots) == 1 else 0
    if plain is None or count > _MOST_DOTS or (dots and not dots.isdecimal()):
        return None
    return plain * (2 - Fraction(1, 2**count))


def length_of(element: Element, default: str, ppq: str) -> Fraction | None:
    """The length of a note, chord or rest as it is written, without its tuplet; None where none is told.

    default: the value of those that tell none, "" for none. ppq: ticks of a crotchet, for those that only count these.
    """
    dots = element.get("dots") or str(sum(child.tag == "dot" for child in element.children) or "")
    value = element.get("dur")
    if not value:
        value, dots = _of_its_notes(element, dots)
    length = length_of_value(value, dots) if value else None
    if length is None and not value:
        length = _counted(element.get("dur.ppq"), ppq)
    if length is None and not value and default:
        length = length_of_value(default, dots)
    return length


def _of_its_notes(element: Element, dots: str) -> tuple[str, str]:
    """The value of a chord whose notes tell it."""
    told = next((child for child in element.children if child.get("dur")), None)
    return (told.get("dur"), dots or told.get("dots")) if told is not None else ("", dots)


def _counted(ticks: str, ppq: str) -> Fraction | None:
    if not (ticks.isdecimal() and ppq.isdecimal()):
        return None
    count, crotchet = int(ticks[:10]), int(ppq[:10])
    return Fraction(count, 4 * crotchet) if 0 < count < _MOST_TICKS_TOLD and crotchet else None


def ticks_of(length: Fraction) -> int:
    """A length in ticks, one at least."""
    return max(1, fraction_to_ticks(length))
