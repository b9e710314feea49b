"""From gracenotes to names and back."""

from __future__ import annotations

from collections.abc import Sequence

from fingering.embellishments.catalogue import Entry, entries_onto, plain_name
from fingering.embellishments.family import Embellishment, Family
from fingering.errors import UserError
from fingering.notes import Note


def recognise(
    gracenotes: Sequence[Note], *, onto: Note, before: Note | None = None, after: Note | None = None
) -> Embellishment:
    """Name a group of gracenotes between the melody note before and after. Never fails: the unknown is UNNAMED.

    A first gracenote that only repeats the note before is not heard, so what follows it gives the name then. No
    embellishment of the catalogue depends on the note `after`; it is there so that one may.
    """
    group = tuple(gracenotes)
    found = _named(group, onto, before)
    if found is not None:
        return Embellishment(found.family, found.name, group, onto)
    return Embellishment(Family.UNNAMED, "".join(note.letter for note in group), group, onto)


def _named(group: tuple[Note, ...], onto: Note, before: Note | None) -> Embellishment | None:
    """The embellishment that suits the note before; else what is heard of it; else what the letters alone say."""
    alike = [entry for entry in entries_onto(onto) if entry.embellishment.gracenotes == group]
    suited = next((entry for entry in alike if entry.suits(before)), None)
    if suited is not None:
        return suited.embellishment
    heard = _named(group[1:], onto, before) if group and group[0] is before else None
    return heard or (alike[0].embellishment if alike else None)


def spell(name: str, *, onto: Note, before: Note | None = None) -> tuple[Note, ...]:
    """The gracenotes of an embellishment, named as people type it ("taorluath", "half doubling", "C doubling").

    Where the usual form cannot be played after the note `before`, the form that takes its place is spelled: a
    doubling after high G is a thumb doubling, after high A a half doubling. Raises UserError for a name that the
    catalogue does not have onto that note.
    """
    entries = _answering_to(plain_name(name), onto)
    if not entries:
        kinds = dict.fromkeys(entry.kind for entry in entries_onto(onto))
        raise UserError(f"there is no '{name}' onto {onto.label}", f"choose one of: {', '.join(kinds)}")
    suited = next((entry for entry in entries if entry.suits(before)), entries[0])
    return suited.embellishment.gracenotes


def _answering_to(name: str, onto: Note) -> list[Entry]:
    """The entries of that name, else those of the family of that name."""
    entries = entries_onto(onto)
    named = [entry for entry in entries if name in entry.names]
    return named or [entry for entry in entries if name == entry.embellishment.family.value]
