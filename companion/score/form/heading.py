"""What stands above a tune's music, whatever file it is in."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from companion.score.model import Field, Meter, Tempo
from companion.score.place import Place


@dataclass(slots=True)
class TuneHeading:
    """What a tune is headed with. `plan` is the order of its labelled parts with its place: in ABC the P: field."""

    place: Place
    reference: str = ""
    title: str = ""
    composer: str = ""
    rhythm: str = ""
    plan: str = ""
    plan_place: Place | None = None
    fields: list[Field] = field(default_factory=list)


class OpeningSettings(NamedTuple):
    """What is in force where a tune begins: metre, key by its name, tempo, and the length that others are told in."""

    meter: Meter
    key: str
    tempo: Tempo | None
    unit: Fraction = Fraction(1, 8)
