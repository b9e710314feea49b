"""The gracenotes that lead onto one played note, as they are heard one by one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from companion.listen.model.segments import Segment
from companion.schedule.events import Event
from fingering.notes import Note

UNHEARD_S = 0.06
"""How long a gracenote that was not heard may have lasted, in s, when its group's beginning is reckoned: as a long good
one."""


class GraceHeard(NamedTuple):
    """One gracenote as it was heard; `alone` is set where its whole sound was its own, so that its length tells."""

    event: Event
    segment: Segment
    alone: bool


class GroupHeard(NamedTuple):
    """What was heard of the gracenotes onto one played note, in order, and which of them were missing.

    swallowed: how many could not be heard because the note before them sounds the same. began_s: when the first of
    them, or a noise among them, was heard; None before that. noisy: whether a noise was heard before or among them.
    """

    played: int
    graces: tuple[GraceHeard, ...] = ()
    missing: tuple[Event, ...] = ()
    swallowed: int = 0
    began_s: float | None = None
    noisy: bool = False

    @property
    def plain(self) -> bool:
        """Whether every gracenote was there by itself, with nothing between."""
        return not self.missing and not self.swallowed and not self.noisy

    @property
    def asked_count(self) -> int:
        """How many gracenotes were asked for that could be heard."""
        return len(self.graces) + len(self.missing)

    def right_count(self, melody: Segment) -> int:
        """Return how many were heard as asked, and apart from the melody note."""
        return sum([each.segment.note is each.event.note and each.segment is not melody for each in self.graces])

    def begins_s(self, onset_s: float) -> float:
        """Return when the group began, or may have begun with what was not heard; for none, the melody note's onset."""
        heard_s = onset_s if self.began_s is None else self.began_s
        return heard_s - UNHEARD_S * (self.swallowed + len(self.missing))

    def with_grace(self, grace: GraceHeard) -> GroupHeard:
        """Return the group with one more gracenote heard."""
        began_s = self._begun(grace.segment.onset_s)
        return GroupHeard(self.played, (*self.graces, grace), self.missing, self.swallowed, began_s, self.noisy)

    def with_swallowed_by(self, segment: Segment) -> GroupHeard:
        """Return the group with one more gracenote that an equal note, heard in `segment`, swallowed."""
        graces = self.graces
        if graces and graces[-1].segment is segment:
            graces = (*graces[:-1], graces[-1]._replace(alone=False))
        return self._replace(graces=graces, swallowed=self.swallowed + 1)

    def with_lost(self, event: Event, held: Note | None) -> GroupHeard:
        """Return the group with one more gracenote that was not heard.

        The note held before swallows the first one if it sounds the same; any other is missing.
        """
        if not self.graces and not self.missing and held is event.note:
            return self._replace(swallowed=self.swallowed + 1)
        return self._replace(missing=(*self.missing, event))

    def with_found(self, extras: Sequence[Segment], note_from_s: float) -> GroupHeard:
        """Return the group with extra notes heard before what is left of it as gracenotes of it, if all are short and
        among those that seem to be missing, in order: of one of which most was left out, that is more than the rest."""
        if not extras or self.graces:
            return self
        left, heard = iter(self.missing), []
        for extra in extras:
            event = next((each for each in left if each.note is extra.note), None)
            if event is None or extra.lasted_s() >= note_from_s:
                return self
            heard.append(GraceHeard(event, extra, alone=True))
        found = [each.event for each in heard]
        missing = tuple(each for each in self.missing if each not in found)
        return self._replace(graces=tuple(heard), missing=missing, began_s=self._begun(extras[0].onset_s))

    def sorted_out(self) -> GroupHeard:
        """Return the group with each gracenote taken for another one as the missing one that it sounds like."""
        group = self
        for grace in self.graces:
            others = [each for each in group.missing if each.note is grace.segment.note is not grace.event.note]
            if not others:
                continue
            missing = [grace.event, *(each for each in group.missing if each is not others[0])]
            graces = [each._replace(event=others[0]) if each is grace else each for each in group.graces]
            group = group._replace(graces=tuple(graces), missing=tuple(sorted(missing, key=_rank)))
        return group

    def before_other_note(self, note: Note) -> GroupHeard:
        """Return the group before a melody note played wrong: a missing gracenote that sounds like it is swallowed."""
        if self.missing and self.missing[-1].note is note:
            return self._replace(missing=self.missing[:-1], swallowed=self.swallowed + 1)
        return self

    def disturbed(self, at_s: float) -> GroupHeard:
        """Return the group with a noise heard before or among its gracenotes."""
        return self._replace(noisy=True, began_s=self._begun(at_s))

    def _begun(self, at_s: float) -> float:
        return at_s if self.began_s is None else self.began_s


def _rank(gracenote: Event) -> int:
    return gracenote.grace or 0
