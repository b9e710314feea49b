"""Which changes of a tune a learner plays as another setting: the same one in the same place, each time.

A piper who learnt a tune elsewhere plays another note, leaves one out, adds one, or has another embellishment, and does
so wherever that place comes: each time through the part, or in each bar that is written alike. A slip comes once. What
is simpler than written, an embellishment that lacks a gracenote, is a habit to mend however often it comes; so is a
gracenote that is held for the time of its note, a note that is left out with its time, a noise of a crossing, and what
is early or late (common practice, no source).
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import comb

from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding
from companion.listen.model.words import previous_note
from companion.listen.setting.time_kept import keeps_time
from companion.listen.setting.variation import Melody, Variation, has_name, variations
from companion.score.setting import Change
from fingering.notes import Note

LEAST_HEARD = 2
"""What was heard in one place only may be a slip."""

ONE_OTHERWISE = 4
"""Of so many hearings of a place one may be otherwise, of twice as many two: a learner slips there too."""

ALIKE = 3.0
"""Of so many slips at one place two are alike: most are one note too high or too low (from memory)."""

MOST_BY_CHANCE = 0.1
"""Changes of which so large a share is to be expected from slips alone, which fell alike by chance, are slips."""


@dataclass(frozen=True, slots=True)
class ChangeHeard:
    """One change, heard in `heard` of the `of` hearings of its place; `findings` are those that it explains.

    changes: what the setting has there, for each written note in which the place was heard. played: its first hearing.
    """

    changes: tuple[Change, ...]
    findings: tuple[Finding, ...]
    played: int
    heard: int
    of: int


def changes_heard(
    asked: Asked, findings: Sequence[Finding], places: Sequence[tuple[int, float]]
) -> tuple[ChangeHeard, ...]:
    """The changes that make another setting of what was played, in the order in which they were first heard.

    places: the played notes that were heard, with their onsets in s.
    """
    varied = variations(asked, findings)
    if len(varied) < LEAST_HEARD:
        return ()
    hearings = _hearings(asked, places, varied)
    onsets_s = dict(sorted(places))
    varied = {played: each for played, each in varied.items() if _may_be_meant(asked, onsets_s, played, each)}
    found: list[ChangeHeard] = []
    taken: set[int] = set()
    for place in (*_like_places(asked, hearings), *_written_places(asked, hearings)):
        if not taken.intersection(place):
            change = _change(asked, place, varied)
            if change is not None:
                found.append(change)
                taken.update(place)
    return tuple(sorted(_beyond_chance(found, varied, len(hearings)), key=lambda each: each.played))


def _may_be_meant(asked: Asked, onsets_s: Mapping[int, float], played: int, each: Variation) -> bool:
    """Whether it is not a finger that stayed away after the last gracenote, nor a note that took its time with it."""
    written = asked.played(played).note
    if each.melody.note is None:
        return keeps_time(asked, onsets_s, played)
    heard = each.gracenotes or ()
    as_many = len(heard) >= len(written.gracenotes)
    last = heard[-1:] if as_many else written.gracenotes[-1:]
    return each.melody.note is written.note or each.melody.note not in last


def _hearings(asked: Asked, places: Sequence[tuple[int, float]], varied: Mapping[int, Variation]) -> list[int]:
    """The played notes that the learner came by, those that were left out, or that sounded on, too."""
    come_to = {played for played, _ in places} | set(varied)
    turns = {asked.played(played).turn for played in come_to}
    first, last = min(come_to), max(come_to)
    return [rank for rank in range(first, last + 1) if asked.played(rank).turn in turns]


def _written_places(asked: Asked, hearings: Sequence[int]) -> Iterator[list[int]]:
    """The hearings of each written note."""
    found: dict[int, list[int]] = defaultdict(list)
    for played in hearings:
        found[asked.played(played).note.rank].append(played)
    return iter(found.values())


def _like_places(asked: Asked, hearings: Sequence[int]) -> Iterator[list[int]]:
    """The hearings of each place of the bars that are written alike."""
    found: dict[Hashable, list[int]] = defaultdict(list)
    for played in hearings:
        each = asked.played(played)
        bar = tuple((note.note, note.duration, note.gracenotes) for note in each.bar.notes)
        found[bar, each.note.rank - each.bar.notes[0].rank].append(played)
    return iter(found.values())


def _change(asked: Asked, place: Sequence[int], varied: Mapping[int, Variation]) -> ChangeHeard | None:
    """The change that comes back in all, or nearly all, hearings of a place; None where there is none."""
    heard = {played: varied[played] for played in place if played in varied}
    if not _is_constant(len(heard), len(place)):
        return None
    melody, count = Counter(each.melody for each in heard.values()).most_common(1)[0]
    written = asked.played(place[0]).note
    alike = {played: each for played, each in heard.items() if each.melody == melody}
    graces = _same_gracenotes(alike, len(place)) if melody.note is not None else ()
    if melody == Melody(written.note):
        alike = {played: each for played, each in alike.items() if each.gracenotes == graces}
        count = len(alike)
        if graces is None or not all(_is_another(asked, played, graces) for played in alike):
            return None
    if not _is_constant(count, len(place)):
        return None
    in_graces = graces is not None and len(graces) >= len(written.gracenotes)
    explained = tuple(
        finding
        for each in alike.values()
        for finding in (each.findings if in_graces and each.gracenotes == graces else each.melody_findings)
    )
    gracenotes = graces if graces is not None and in_graces else () if melody.note is None else written.gracenotes
    notes = {asked.played(played).note.rank: asked.played(played).note.note for played in place}
    changes = tuple(
        Change(rank, note, melody.note, gracenotes, melody.added) for rank, note in notes.items() if note is not None
    )
    return ChangeHeard(changes, explained, min(alike), count, len(place))


def _is_constant(count: int, of: int) -> bool:
    return count >= LEAST_HEARD and of - count <= of // ONE_OTHERWISE


def _same_gracenotes(alike: Mapping[int, Variation], of: int) -> tuple[Note, ...] | None:
    """The gracenotes that were heard each time, or nearly; None where they differ or cannot be told."""
    graces, count = Counter(each.gracenotes for each in alike.values()).most_common(1)[0]
    return graces if _is_constant(count, of) else None


def _is_another(asked: Asked, played: int, gracenotes: Sequence[Note]) -> bool:
    """Whether gracenotes are another embellishment than the written one, and not what was left of that."""
    written = asked.played(played).note
    if written.note is None or gracenotes == written.gracenotes or len(gracenotes) < len(written.gracenotes):
        return False
    return has_name(tuple(gracenotes), written.note, previous_note(asked, played))


def _beyond_chance(
    found: Sequence[ChangeHeard], varied: Mapping[int, Variation], hearings: int
) -> Iterator[ChangeHeard]:
    """Those of the changes that slips, as often as they were made elsewhere in this take, would not have made too."""
    slips = len(varied) - sum(each.heard for each in found)
    rate = max(0, slips) / max(1, hearings)
    for each in found:
        alike = rate**each.heard / ALIKE ** (each.heard - 1)
        by_chance = hearings / each.of * comb(each.of, each.heard) * alike
        if by_chance <= MOST_BY_CHANCE * sum(other.heard >= each.heard for other in found):
            yield each
