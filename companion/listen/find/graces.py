"""The gracenotes that lead onto one melody note: missing, wrong, long, uneven."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from statistics import mean

from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind, finding_at
from companion.listen.model.segments import Segment
from companion.listen.model.strictness import Limits
from companion.listen.model.words import a_gracenote, bar_words, grace_name, letters, listed, named, place_of
from companion.schedule.events import Event
from fingering.chart import chart
from fingering.holes import Finger
from fingering.notes import Note

UNHEARD_S = 0.06
"""The time that a gracenote may have had which was left out or swallowed by the note before: a good one's longest."""


@dataclass(frozen=True, slots=True)
class GraceHeard:
    """One gracenote as it was heard; `alone` is set where its whole sound was its own, so that its length tells."""

    event: Event
    segment: Segment
    alone: bool


@dataclass(slots=True)
class GroupHeard:
    """What was heard of the gracenotes onto one played note, in order, and those that were not."""

    played: int
    graces: list[GraceHeard] = field(default_factory=list)
    missing: list[Event] = field(default_factory=list)
    swallowed: int = 0
    began_s: float | None = None
    noisy: bool = False

    @property
    def plain(self) -> bool:
        """Whether every gracenote was there by itself, with nothing between."""
        return not self.missing and not self.swallowed and not self.noisy

    @property
    def asked_count(self) -> int:
        """Gracenotes asked for that could be heard."""
        return len(self.graces) + len(self.missing)

    def right_count(self, melody: Segment) -> int:
        """Those that were heard as asked, and apart from the melody note."""
        return sum(each.segment.note is each.event.note and each.segment is not melody for each in self.graces)

    def heard(self, event: Event, segment: Segment, *, alone: bool, begins: bool) -> None:
        """A gracenote was heard, or swallowed by an equal note before it (`begins` is False)."""
        if not begins:
            self.swallowed += 1
            if self.graces and self.graces[-1].segment is segment:
                self.graces[-1] = replace(self.graces[-1], alone=False)
            return
        self.graces.append(GraceHeard(event, segment, alone))
        self._begin(segment.onset_s)

    def swallow(self, note: Note) -> None:
        """Another melody note was played: the gracenote before it that sounds the same cannot be heard."""
        if self.missing and self.missing[-1].note is note:
            self.missing.pop()
            self.swallowed += 1

    def disturbed(self, at_s: float) -> None:
        """A noise was heard before or among them."""
        self.noisy = True
        self._begin(at_s)

    def begins_s(self, onset_s: float) -> float:
        """When the group began, or may have begun with what was not heard; the melody note's onset for none."""
        heard_s = onset_s if self.began_s is None else self.began_s
        return heard_s - UNHEARD_S * (self.swallowed + len(self.missing))

    def _begin(self, at_s: float) -> None:
        if self.began_s is None:
            self.began_s = at_s


def group_findings(asked: Asked, limits: Limits, group: GroupHeard, melody: Segment, *, begins: bool) -> list[Finding]:
    """What there is to say of a group once its melody note has begun (`begins`) or was swallowed by a held note."""
    found: list[Finding] = []
    if group.missing:
        found.append(_missing(asked, group, melody))
    wrong = [each for each in group.graces if each.segment.note is not each.event.note]
    found += [_wrong(asked, group, each) for each in wrong]
    timed = [each for each in group.graces if each.alone and each.segment is not melody]
    long = [each for each in timed if _relative_ms(asked, each) >= limits.gracenote_ms]
    found += [_long(asked, group, each) for each in long]
    if not long and begins:
        found += _uneven(asked, limits, group, timed)
    return found


def _relative_ms(asked: Asked, grace: GraceHeard) -> float:
    """How long a gracenote was, in ms, as if all of its group had been written equally long."""
    written = asked.played(grace.event.played).note.lengths_of_gracenotes()[grace.event.grace or 0]
    return grace.segment.lasted_s() * 1000.0 / float(written)


def _fingers_of(asked: Asked, gracenote: Event) -> tuple[Finger, ...]:
    """Return the fingers that make a gracenote: those that move between it and what follows."""
    following = asked.schedule.events[_rank(asked, gracenote) + 1]
    return gracenote.state.moves_to(following.state)


def _rank(asked: Asked, gracenote: Event) -> int:
    """Return the rank of a gracenote among the events; its melody note always follows it."""
    token = asked.note_tokens[gracenote.played]
    assert token is not None
    return next(rank for rank in range(asked.tokens[token].last, -1, -1) if asked.schedule.events[rank] is gracenote)


def _missing(asked: Asked, group: GroupHeard, melody: Segment) -> Finding:
    events = group.missing
    notes = [event.note for event in events]
    bar, place = bar_words(asked, group.played), place_of(asked, group.played)
    total = len(asked.played(group.played).note.gracenotes)
    if len(notes) == total:
        text = f"{bar}: {place} was left out."
    elif len(notes) == 1:
        text = f"{bar}: {grace_name(notes[0])} was missing from {place}."
    else:
        text = f"{bar}: {named(notes)} were missing from {place}."
    return finding_at(
        asked,
        group.played,
        FindingKind.MISSING_GRACENOTE,
        at_s=melody.onset_s,
        wanted=letters(notes),
        fingers=_fingers_of(asked, events[0]),
        text=text,
        cause=(FindingKind.MISSING_GRACENOTE, letters(notes), asked.schedule.embellishments[group.played]),
    )


def _wrong(asked: Asked, group: GroupHeard, grace: GraceHeard) -> Finding:
    wanted, heard = grace.event.note, grace.segment.note
    place = place_of(asked, group.played)
    text = f"{bar_words(asked, group.played)}: {heard.label} was heard for {wanted.label} in {place}."
    if len(asked.played(group.played).note.gracenotes) == 1:
        text = f"{bar_words(asked, group.played)}: {a_gracenote(heard)} was heard for {place}."
    return finding_at(
        asked,
        group.played,
        FindingKind.WRONG_GRACENOTE,
        at_s=grace.segment.onset_s,
        wanted=wanted.letter,
        heard=heard.letter,
        fingers=chart(wanted).moves_to(chart(heard)),
        ms=grace.segment.lasted_s() * 1000.0,
        text=text,
        cause=(FindingKind.WRONG_GRACENOTE, wanted, heard, asked.schedule.embellishments[group.played]),
    )


def _long(asked: Asked, group: GroupHeard, grace: GraceHeard) -> Finding:
    note = grace.event.note
    lasted_ms = grace.segment.lasted_s() * 1000.0
    place = place_of(asked, group.played)
    one = len(asked.played(group.played).note.gracenotes) == 1
    what = place if one else f"in {place} the {note.label}"
    text = f"{bar_words(asked, group.played)}: {what} lasted {lasted_ms:.0f} ms; a gracenote is gone in a blink."
    return finding_at(
        asked,
        group.played,
        FindingKind.LONG_GRACENOTE,
        at_s=grace.segment.onset_s,
        wanted=note.letter,
        heard=grace.segment.note.letter,
        fingers=_fingers_of(asked, grace.event),
        ms=lasted_ms,
        text=text,
        cause=(FindingKind.LONG_GRACENOTE, note, asked.schedule.embellishments[group.played]),
    )


def _uneven(asked: Asked, limits: Limits, group: GroupHeard, timed: list[GraceHeard]) -> list[Finding]:
    if len(timed) < 2:
        return []
    lengths_ms = [_relative_ms(asked, each) for each in timed]
    stray_ms = max(_strays_ms(lengths_ms, limits), default=0.0)
    if not stray_ms:
        return []
    played = listed([f"{length:.0f}" for length in lengths_ms])
    place = place_of(asked, group.played)
    text = f"{bar_words(asked, group.played)}: {place} was uneven, {played} ms; make its gracenotes alike."
    notes = [each.event.note for each in timed]
    return [
        finding_at(
            asked,
            group.played,
            FindingKind.UNEVEN,
            at_s=timed[0].segment.onset_s,
            wanted=letters(notes),
            heard=letters(notes),
            ms=stray_ms,
            text=text,
            cause=(FindingKind.UNEVEN, asked.schedule.embellishments[group.played]),
        )
    ]


def _strays_ms(lengths_ms: Sequence[float], limits: Limits) -> Iterator[float]:
    """By how much each gracenote that is not like its fellows differs from their mean, one after the other."""
    for rank, length_ms in enumerate(lengths_ms):
        fellows_ms = mean([*lengths_ms[:rank], *lengths_ms[rank + 1 :]])
        short, long = sorted((length_ms, fellows_ms))
        if long >= limits.uneven_ratio * short and long - short >= limits.uneven_ms:
            yield long - short
