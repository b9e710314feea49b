"""The catalogue: every row spelled out onto every note that it is played onto."""

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
    """One embellishment onto one note. `names` are all that it answers to, in plain form (see `plain_name`)."""

    embellishment: Embellishment
    kind: str
    approach: Approach
    names: frozenset[str]
    source: SpellingSource

    def suits(self, before: Note | None) -> bool:
        """Whether this is a form to play after the note `before`; None stands for any usual one."""
        if before is None:
            return self.approach.is_usual
        return self.approach.allows(before, self.embellishment.onto) and self._in_reach(before)

    def _in_reach(self, before: Note) -> bool:
        """A gracenote is one finger lifted, so that finger must be down: no G gracenote after high G or high A."""
        first = self.embellishment.gracenotes[0]
        if self.embellishment.family is Family.SINGLE and first is before:
            return False
        finger = vent(first)
        return first <= self.embellishment.onto or finger is None or chart(before).closed(finger)


def plain_name(name: str) -> str:
    """A name as it is compared: lower case, single spaces, "-" and "_" as spaces."""
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
    """Every embellishment onto every note, in the order of preference where two read or spell alike."""
    return tuple(_entry(row, Note.from_letter(letter)) for row in ROWS for letter in row.onto)


@cache
def entries_onto(onto: Note) -> tuple[Entry, ...]:
    """What can be played onto one note, in the catalogue's order."""
    return tuple(entry for entry in catalogue() if entry.embellishment.onto is onto)
