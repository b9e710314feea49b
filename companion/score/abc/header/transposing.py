"""Transposition: how far a tune sounds from what is written, by the file's fields and the user's wish."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from companion.score.fitting import FURTHEST

_SEMITONES = re.compile(r"\btranspose=\s*([+-]?\d{1,3})\b")
_OCTAVES = re.compile(r"\boctave=\s*([+-]?\d)\b")
_DIRECTIVE = re.compile(r"\s*MIDI\s*=?\s*transpose\s*=?\s*([+-]?\d{1,3})\s*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Transposition:
    """Semitones that notes sound above what is written, by who asks for them: the user, the key or voice, a directive.

    followed: False where the file's own wish is not followed, since it would leave the chanter.
    """

    wished: int = 0
    key: int = 0
    directive: int = 0
    followed: bool = True

    @property
    def shift(self) -> int:
        """The sum of all that is followed, in semitones."""
        return self.wished + (self.key + self.directive if self.followed else 0)

    @property
    def asked_by_file(self) -> bool:
        """Whether the file asks for a shift."""
        return self.followed and self.key + self.directive != 0

    def by_key(self, semitones: int) -> Transposition:
        """This transposition with another shift by the key or voice, in semitones."""
        return self if semitones == self.key else replace(self, key=semitones)

    def by_directive(self, semitones: int) -> Transposition:
        """This transposition with another shift by a directive, in semitones."""
        return replace(self, directive=semitones)


def shift_of_key(text: str) -> int:
    """What ``transpose=`` and ``octave=`` in a K: or V: field ask for, in semitones (ABC 2.1 section 4.6)."""
    if "=" not in text:
        return 0
    semitones = _SEMITONES.search(text)
    octaves = _OCTAVES.search(text)
    shift = (int(semitones[1]) if semitones else 0) + 12 * (int(octaves[1]) if octaves else 0)
    return max(-FURTHEST, min(FURTHEST, shift))


def shift_of_directive(text: str) -> int | None:
    """What ``%%MIDI transpose`` asks for, in semitones; None for another directive."""
    match = _DIRECTIVE.fullmatch(text)
    return max(-FURTHEST, min(FURTHEST, int(match[1]))) if match else None
