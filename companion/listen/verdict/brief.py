"""A finding in a few words, to be taken in at a glance while playing: the place, and what was heard for what."""

from __future__ import annotations

from dataclasses import dataclass

from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.words import grace_name
from fingering.embellishments import Family
from fingering.notes import Note


@dataclass(frozen=True, slots=True)
class Brief:
    """A few words: `place` is "bar 3", or "" where there is none to tell; `what` is "C for B"."""

    place: str
    what: str

    @property
    def text(self) -> str:
        """Both in one line: "bar 3: C for B"."""
        return f"{self.place}: {self.what}" if self.place else self.what


def brief_of(asked: Asked, finding: Finding, times: int = 1) -> Brief:
    """Return a finding in a few words. times: how often the same was found."""
    what = _what(asked, finding)
    return Brief(f"bar {finding.bar}" if finding.bar else "pick-up", f"{what}, {times}×" if times > 1 else what)


def _what(asked: Asked, finding: Finding) -> str:
    note = asked.played(finding.played).note.note
    melody = note.label if note is not None else "a rest"
    match finding.kind:
        case FindingKind.WRONG_NOTE:
            return f"{_label(finding.heard)} for {_label(finding.asked)}"
        case FindingKind.MISSING_NOTE:
            return "some notes skipped" if len(finding.asked) > 1 else f"{_label(finding.asked)} left out"
        case FindingKind.EXTRA_NOTE:
            return f"{_label(finding.heard)} not asked"
        case FindingKind.WRONG_GRACENOTE:
            return f"{_label(finding.heard)} for {_grace(finding.asked)}"
        case FindingKind.EXTRA_GRACENOTE:
            return f"{_grace(finding.heard)} not asked"
        case FindingKind.MISSING_GRACENOTE:
            return f"no {_gracenotes(asked, finding)}"
        case FindingKind.LONG_GRACENOTE:
            return f"{_grace(finding.asked)} long"
        case FindingKind.UNEVEN:
            return f"{_gracenotes(asked, finding)} uneven"
        case FindingKind.CROSSING if finding.crossing is not None:
            when = "late" if finding.crossing.finger_ms > 0.0 else "early"
            return f"{finding.crossing.finger.label} {when}"
        case FindingKind.EARLY | FindingKind.LATE:
            return f"{melody} {finding.kind.value}"
        case FindingKind.POINTING:
            return f"{finding.heard} for {finding.asked}"
        case FindingKind.BREAK:
            return "a silence"
        case FindingKind.RESTART:
            return f"{melody} once more"
    return finding.place


def _gracenotes(asked: Asked, finding: Finding) -> str:
    """One gracenote by its name, several by their embellishment's family: "D gracenote", "thumb doubling"."""
    if len(finding.asked) == 1:
        return _grace(finding.asked)
    embellishment = asked.schedule.embellishments[finding.played]
    named = embellishment is not None and embellishment.family is not Family.UNNAMED
    return embellishment.family.value if embellishment is not None and named else "gracenotes"


def _label(letter: str) -> str:
    return Note.from_letter(letter).label


def _grace(letter: str) -> str:
    return grace_name(Note.from_letter(letter)).removeprefix("the ")
