"""Reads what an MEI document says of its pieces: titles, composers, kinds, plans of parts."""

from __future__ import annotations

from dataclasses import dataclass

from companion.files.lines import one_line
from companion.score.form.heading import TuneHeading
from companion.score.formats.kept_fields import KEY_FIELD, is_field_name, take_field
from companion.score.formats.xml.tree import Element
from companion.score.place import Place

_LONGEST = 500
_MOST_FIELDS = 200


@dataclass(slots=True)
class PieceHeading:
    """The heading of a piece, and the name of its key where one is kept beside the signature, "" for none."""

    heading: TuneHeading
    key: str = ""


def heading_of(root: Element, mdiv: Element, rank: int, place: Place) -> PieceHeading:
    """The heading of one piece (`mdiv`) of a document, the one of that rank, counted from 0."""
    heading = TuneHeading(place, reference=str(rank + 1))
    head = next(root.inside("meiHead"), None)
    works = list(head.inside("work")) if head else []
    work = works[rank] if rank < len(works) else works[0] if works and rank == 0 else None
    described = next(head.inside("fileDesc"), None) if head else None
    for holder in (work, described):
        if holder is not None:
            _take(holder, heading)
    if mdiv.get("label") and (rank or not heading.title):
        heading.title = _clean(mdiv.get("label"))
    return PieceHeading(heading, _kept(work, heading) if work else "")


def _kept(work: Element, heading: TuneHeading) -> str:
    """Take over the fields that a work keeps by their names; returns the name of its key."""
    key = ""
    for each in work.inside("annot"):
        kind = each.get("type")
        if is_field_name(kind) and len(heading.fields) < _MOST_FIELDS:
            take_field(kind, one_line(each.text.strip()), heading)
        elif kind == KEY_FIELD:
            key = each.words()
    return key


def _take(holder: Element, heading: TuneHeading) -> None:
    """Take over what is not told yet."""
    heading.title = heading.title or _words(holder, "title")
    heading.composer = heading.composer or _words(holder, "composer") or _composer(holder)
    if holder.tag != "work":
        return
    heading.reference = _clean(_words(holder, "identifier")) or heading.reference
    heading.rhythm = next((_clean(each.words()) for each in holder.inside("term") if _is(each, "rhythm")), "")
    heading.plan = next((_clean(each.words()) for each in holder.inside("annot") if _is(each, "plan")), "")


def _is(element: Element, kind: str) -> bool:
    return element.get("type") == kind or element.get("class") == kind


def _words(holder: Element, tag: str) -> str:
    return next((words for each in holder.inside(tag) if (words := _clean(each.words()))), "")


def _composer(holder: Element) -> str:
    people = (each for each in holder.inside("persName", "name", "creator") if each.get("role") == "composer")
    return next((_clean(each.words()) for each in people), "")


def _clean(text: str) -> str:
    return one_line(text[:_LONGEST]).strip()
