"""How a tune is to be engraved."""

from __future__ import annotations

import enum
from dataclasses import dataclass


class KeySignature(enum.Enum):
    """The key signature that is printed; what sounds is the same."""

    SHARPS = "F and C sharp"
    NONE = "none"


class TitlePlace(enum.Enum):
    """Where the title stands over the tune; the composer stands at the other side, the kind of tune at the left."""

    CENTRE = "centre"
    LEFT = "left"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class StaffStyle:
    """Choices of an engraver. phrase_marks: a comma where the writer marked a phrase's end. tempo: its figure.

    room: how wide a line is, in tenths of a millimetre of a staff 7.2 mm high.
    """

    key_signature: KeySignature = KeySignature.SHARPS
    title: TitlePlace = TitlePlace.CENTRE
    phrase_marks: bool = True
    tempo: bool = True
    room: float = 1800.0
