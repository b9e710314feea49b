"""Which notes an embellishment can be played from and onto, for one who chooses among them."""

from __future__ import annotations

from fingering.embellishments.catalogue import plain_name
from fingering.embellishments.naming import answering_to
from fingering.notes import Note


def notes_before(name: str, onto: Note) -> tuple[Note, ...]:
    """The notes, in order, from which an embellishment can be played onto `onto`.

    name: as in `naming.spell`. Empty for a name that the catalogue does not have onto that note.
    """
    entries = answering_to(plain_name(name), onto)
    return tuple(before for before in Note if any(entry.suits(before) for entry in entries))


def notes_onto(name: str) -> tuple[Note, ...]:
    """The notes, in order, that an embellishment of that name leads onto from one note at least."""
    return tuple(onto for onto in Note if notes_before(name, onto))
