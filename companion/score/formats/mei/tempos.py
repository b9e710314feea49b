"""Reads tempos of MEI."""

from __future__ import annotations

import re
from fractions import Fraction

from companion.files.lines import one_line
from companion.score.abc.header.fields import sensible_tempo
from companion.score.formats.mei.lengths import length_of_value
from companion.score.formats.xml.tree import Element
from companion.score.model import Tempo

_CROTCHET = Fraction(1, 4)
_LONGEST_WORDS = 200
_NUMBER = re.compile(r"\d{1,4}(?:\.\d{1,6})?")
# What stands for the figure in the words of a tempo: a note, which may be a sign of a music font, and what it equals.
_FIGURE = re.compile("[\u2669-\u266f\U0001d15d-\U0001d164\ue000-\uf8ff.]*\\s*=\\s*[\\d.,]+")
_MUSIC_SIGNS = re.compile("[\ue000-\uf8ff\u2669-\u266f\U0001d15d-\U0001d164]")


def tempo_of(element: Element) -> Tempo | None:
    """The tempo of a `tempo` element; None where it has words only."""
    text = _MUSIC_SIGNS.sub("", _FIGURE.sub(" ", element.words())).strip(" ,;()")
    return _tempo(element, one_line(" ".join(text.split())[:_LONGEST_WORDS]))


def tempo_in_definition(element: Element) -> Tempo | None:
    """The tempo that a `scoreDef` or `staffDef` gives, None for none."""
    return _tempo(element, "")


def _tempo(element: Element, text: str) -> Tempo | None:
    rate = _number(element.get("mm"))
    unit = length_of_value(element.get("mm.unit"), element.get("mm.dots"))
    if rate is not None and unit is not None:
        return sensible_tempo(unit, rate, text)
    rate = _number(element.get("midi.bpm"))
    return sensible_tempo(_CROTCHET, rate, text) if rate is not None else None


def _number(text: str) -> float | None:
    return float(text) if _NUMBER.fullmatch(text) else None
