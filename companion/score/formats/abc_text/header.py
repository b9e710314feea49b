"""Writes the header of a tune as ABC."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from companion.score.abc.header.fields import BODY_FIELDS, is_spent
from companion.score.formats.abc_text.strings import escaped, quoted_text
from companion.score.model import Field, Tempo, Tune

_ONLY_IN_BODY = frozenset("wsr")


def header_of(tune: Tune, unit: Fraction, key: str) -> Iterator[str]:
    """Yield the lines of a header, X: first, K: last. unit: the unit note length. key: the text of K:."""
    yield f"X:{escaped(tune.reference) or 1}"
    if tune.title:
        yield f"T:{escaped(tune.title)}"
    if tune.composer:
        yield f"C:{escaped(tune.composer)}"
    if tune.rhythm:
        yield f"R:{escaped(tune.rhythm)}"
    head, _ = fields_of(tune)
    yield from map(field_line, head)
    if tune.plan:
        yield f"P:{escaped(tune.plan)}"
    yield f"M:{tune.meter.text}"
    yield f"L:{unit.numerator}/{unit.denominator}"
    if tune.tempo is not None:
        yield f"Q:{tempo_text(tune.tempo)}"
    yield f"K:{key}"


def fields_of(tune: Tune) -> tuple[list[Field], list[Field]]:
    """The fields that are kept for the header, and those that go with the music, both in their order.

    Those that changed how the tune was read are not among them, since it is written as it was read.
    """
    kept = [field for field in tune.fields if not is_spent(field.key, field.text)]
    body = next((i for i, field in enumerate(kept) if field.key in _ONLY_IN_BODY), len(kept))
    after = [field for field in kept[body:] if field.key not in BODY_FIELDS]
    return [*kept[:body], *after], [field for field in kept[body:] if field.key in BODY_FIELDS]


def field_line(field: Field) -> str:
    """A field on a line of its own."""
    return f"{field.key}:{escaped(field.text)}"


def tempo_text(tempo: Tempo) -> str:
    """What follows Q: (ABC 2.1 section 3.1.8)."""
    words = f"{quoted_text(tempo.text)} " if tempo.text else ""
    rate = f"{tempo.beats_per_minute:.6f}".rstrip("0").rstrip(".")
    return f"{words}{tempo.beat.numerator}/{tempo.beat.denominator}={rate}"
