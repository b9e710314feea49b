"""What formats of XML keep by a name of its own, since they have no element for it: the key's name, fields of ABC."""

from __future__ import annotations

import re
from collections.abc import Iterator

from companion.score.abc.header.fields import is_spent
from companion.score.form.heading import TuneHeading
from companion.score.model import Field, Tune

KEY_FIELD = "key"
"""The name under which the key's own name is kept, which a signature does not tell."""

_FIELD_NAME = re.compile(r"([A-Za-z]):")


def kept_fields(tune: Tune) -> Iterator[tuple[str, str]]:
    """Yield the fields of a tune that change nothing of how it is read, each with the name it is kept by ("N:")."""
    yield from ((f"{field.key}:", field.text) for field in tune.fields if not is_spent(field.key, field.text))


def is_field_name(name: str) -> bool:
    """Whether something is kept by the name of a field."""
    return _FIELD_NAME.fullmatch(name) is not None


def take_field(name: str, text: str, heading: TuneHeading) -> None:
    """Add what was kept by the name of a field to a heading."""
    heading.fields.append(Field(name[0], text, heading.place))
