"""What was heard in the place of one note of the performance, put together from what was found there."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.words import previous_note
from fingering.embellishments import Family, recognise
from fingering.notes import Note

_GRACES = frozenset({FindingKind.WRONG_GRACENOTE, FindingKind.MISSING_GRACENOTE, FindingKind.EXTRA_GRACENOTE})
_MELODY = frozenset({FindingKind.WRONG_NOTE, FindingKind.MISSING_NOTE, FindingKind.EXTRA_NOTE})
MOST_EXTRA_GRACENOTES = 4
"""More gracenotes that were not asked for before one note are no embellishment of another setting but a muddle."""


@dataclass(frozen=True, slots=True)
class Melody:
    """What of the melody was heard at a note: what was played in its place, None where it was left out, and what was
    added before it."""

    note: Note | None
    added: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True)
class Variation:
    """What was heard in the place of one played note instead of what is written.

    gracenotes: those that led onto it, None where they cannot be told. findings: those that say so.
    """

    melody: Melody
    gracenotes: tuple[Note, ...] | None
    findings: tuple[Finding, ...]

    @property
    def melody_findings(self) -> tuple[Finding, ...]:
        """Those findings that tell of melody notes."""
        return tuple(each for each in self.findings if each.kind in _MELODY)


def variations(asked: Asked, findings: Iterable[Finding]) -> Mapping[int, Variation]:
    """What was heard otherwise than written, by the played note at which it was."""
    by_played: dict[int, list[Finding]] = defaultdict(list)
    for finding in findings:
        if finding.kind in _MELODY | _GRACES:
            by_played[finding.played].append(finding)
    return {
        played: _variation(asked, played, group)
        for played, group in by_played.items()
        if asked.played(played).note.note is not None
    }


def _variation(asked: Asked, played: int, group: Sequence[Finding]) -> Variation:
    melody = _melody(asked, played, group)
    graces = _gracenotes(asked, played, group, melody) if melody.note is not None else ()
    return Variation(melody, graces, tuple(group))


def _melody(asked: Asked, played: int, group: Iterable[Finding]) -> Melody:
    note: Note | None = asked.played(played).note.note
    added: list[Note] = []
    for finding in group:
        match finding.kind:
            case FindingKind.WRONG_NOTE:
                note = Note.from_letter(finding.heard)
            case FindingKind.MISSING_NOTE:
                note = None
            case FindingKind.EXTRA_NOTE:
                added.append(Note.from_letter(finding.heard))
    # What was read as left out beside something else is that in its place.
    return Melody(added[0]) if note is None and len(added) == 1 else Melody(note, tuple(added))


def _gracenotes(asked: Asked, played: int, group: Sequence[Finding], melody: Melody) -> tuple[Note, ...] | None:
    """The gracenotes that were heard, in order; None where extra ones are too many to be sure of their order."""
    heard = list(asked.played(played).note.gracenotes)
    extra: list[Note] = []
    for finding in group:
        match finding.kind:
            case FindingKind.WRONG_GRACENOTE:
                wanted = Note.from_letter(finding.asked)
                if wanted in heard:
                    heard[heard.index(wanted)] = Note.from_letter(finding.heard)
            case FindingKind.MISSING_GRACENOTE:
                for letter in finding.asked:
                    if (lost := Note.from_letter(letter)) in heard:
                        heard.remove(lost)
            case FindingKind.EXTRA_GRACENOTE:
                extra += [Note.from_letter(letter) for letter in finding.heard]
    if len(extra) > MOST_EXTRA_GRACENOTES:
        return None
    return _with(tuple(heard), extra, onto=melody.note, before=previous_note(asked, played))


def _with(
    heard: tuple[Note, ...], extra: Sequence[Note], *, onto: Note | None, before: Note | None
) -> tuple[Note, ...]:
    """Gracenotes with the extra ones, in their order, among them: so that they make an embellishment that has a name,
    else behind the others."""
    ways = {heard}
    for note in extra:
        ways = {(*way[:place], note, *way[place:]) for way in ways for place in range(len(way) + 1)}
    named = (way for way in sorted(ways) if onto is not None and has_name(way, onto, before))
    return next(named, (*heard, *extra))


def has_name(gracenotes: Sequence[Note], onto: Note, before: Note | None) -> bool:
    """Whether gracenotes are an embellishment that pipers have a name for."""
    return bool(gracenotes) and recognise(gracenotes, onto=onto, before=before).family is not Family.UNNAMED
