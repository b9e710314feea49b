"""Finds the name of a group of gracenotes, and the gracenotes of a name."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from fingering.embellishments.catalogue import Entry, entries_onto, plain_name
from fingering.embellishments.family import Embellishment, Family
from fingering.errors import UserError
from fingering.notes import Note


def recognise(gracenotes: Sequence[Note], *, onto: Note, before: Note | None = None) -> Embellishment:
    """Name a group of gracenotes that leads from one melody note onto the next. Never fails: the unknown is UNNAMED.

    A first gracenote that only repeats the note before is not heard, so what follows it gives the name then.
    """
    return _recognise(tuple(gracenotes), onto, before)


@lru_cache(maxsize=4096)
def _recognise(group: tuple[Note, ...], onto: Note, before: Note | None) -> Embellishment:
    found = _named(group, onto, before)
    if found is not None:
        return Embellishment(found.family, found.name, group, onto)
    return Embellishment(Family.UNNAMED, "".join(note.letter for note in group), group, onto)


def _named(group: tuple[Note, ...], onto: Note, before: Note | None) -> Embellishment | None:
    """The embellishment that suits the note before; else the one that is heard; else one with the same letters."""
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
    entries = answering_to(plain_name(name), onto)
    if not entries:
        kinds = dict.fromkeys(entry.kind for entry in entries_onto(onto))
        raise UserError(f"there is no '{name}' onto {onto.label}", f"choose one of: {', '.join(kinds)}")
    suited = next((entry for entry in entries if entry.suits(before)), entries[0])
    return suited.embellishment.gracenotes


def usual_spelling(gracenotes: Sequence[Note], *, onto: Note, before: Note | None = None) -> tuple[Note, ...] | None:
    """How pipers would spell a group that is spelled oddly; None where it is as they do, or where nothing is near.

    Odd are a form that belongs after another note than `before`, and a group that is one gracenote away from an
    embellishment of the catalogue and is none itself.
    """
    group = tuple(gracenotes)
    entries = entries_onto(onto)
    alike = [entry for entry in entries if entry.embellishment.gracenotes == group]
    suited = [entry for entry in entries if entry.suits(before)]
    if any(entry in suited for entry in alike) or (alike and before is None):
        return None
    if alike:
        kinds = {entry.embellishment.family for entry in alike if entry.approach.only_from is not None}
        usual = (entry for entry in suited if entry.embellishment.family in kinds)
    else:
        usual = (entry for entry in suited if _one_apart(entry.embellishment.gracenotes, group))
    return next((entry.embellishment.gracenotes for entry in usual), None)


def _one_apart(one: tuple[Note, ...], other: tuple[Note, ...]) -> bool:
    """Whether two groups of two gracenotes at least differ by one that is another, is missing or is too many."""
    shorter, longer = sorted((one, other), key=len)
    if len(shorter) < 2 or len(longer) - len(shorter) > 1:
        return False
    differs = next((i for i, (a, b) in enumerate(zip(shorter, longer, strict=False)) if a is not b), len(shorter))
    rest = shorter[differs + (len(shorter) == len(longer)) :]
    return rest == longer[differs + 1 :]


def answering_to(name: str, onto: Note) -> list[Entry]:
    """The entries of that name, else those of the family of that name."""
    entries = entries_onto(onto)
    named = [entry for entry in entries if name in entry.names]
    return named or [entry for entry in entries if name == entry.embellishment.family.value]
