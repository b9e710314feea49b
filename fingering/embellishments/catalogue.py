"""The catalogue of embellishments: every row of `rows` spelled out onto every note that it is played onto."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from fingering.chart import chart, vent
from fingering.embellishments.family import Embellishment, Family
from fingering.embellishments.grammar import Approach, expand
from fingering.embellishments.rows import ROWS, Spellings, SpellingSource
from fingering.notes import Note


@dataclass(frozen=True, slots=True)
class Entry:
    """One embellishment onto one note. `names`: all that it can be asked for by, in plain form (see `plain_name`)."""

    embellishment: Embellishment
    kind: str
    approach: Approach
    names: frozenset[str]
    source: SpellingSource

    def suits(self, before: Note | None) -> bool:
        """Whether this form can be played after the note `before`; for None, whether it is one to expect anywhere."""
        if before is None:
            return self.approach.is_usual
        return self.approach.allows(before, self.embellishment.onto) and self._in_reach(before)

    def _in_reach(self, before: Note) -> bool:
        """Whether the finger that makes the first gracenote is down on `before`; for a G gracenote it is not on high
        G.
        """
        first = self.embellishment.gracenotes[0]
        if self.embellishment.family is Family.SINGLE and first is before:
            return False
        finger = vent(first)
        return first <= self.embellishment.onto or finger is None or chart(before).closed(finger)


def plain_name(name: str) -> str:
    """A name in the form in which names are compared: lower case, single spaces, "-" and "_" as spaces."""
    return " ".join(name.replace("-", " ").replace("_", " ").lower().split())


def _kind(name: str) -> str:
    """A row's name without its melody note: "doubling", "strike"."""
    return name.replace("{note} ", "").replace(" on {note}", "")


def _entry(row: Spellings, onto: Note) -> Entry:
    kind, home = _kind(row.name), row.approach.only_from
    anywhere = kind if home is None else kind.removesuffix(f" from {home.label}")
    also = (form.format(note=onto.label) for name in (row.name, *row.also) for form in (name, _kind(name)))
    names = frozenset(map(plain_name, (anywhere, *also)))
    embellishment = Embellishment(row.family, row.name.format(note=onto.label), expand(row.pattern, onto), onto)
    return Entry(embellishment, kind, row.approach, names, row.source)


@cache
def catalogue() -> tuple[Entry, ...]:
    """Every embellishment onto every note; where two read or spell alike, the preferred one comes first."""
    return tuple(_entry(row, Note.from_letter(letter)) for row in ROWS for letter in row.onto)


@cache
def entries_onto(onto: Note) -> tuple[Entry, ...]:
    """The entries of the catalogue that lead onto one note, in its order."""
    return tuple(entry for entry in catalogue() if entry.embellishment.onto is onto)
