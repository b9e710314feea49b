"""A finding in a few words, to be taken in at a glance while playing: the place, and what was heard for what."""

from __future__ import annotations

from dataclasses import dataclass

from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.words import grace_name
from companion.listen.rhythm.pointing import ratio_words
from fingering.embellishments import Family
from fingering.notes import Note

MOST_LETTERS = 22
"""The number of letters that have room in large type in the smallest of windows (800 x 600, big print)."""


@dataclass(frozen=True, slots=True)
class Brief:
    """A few words: `place` is "bar 3", or "" where there is none to tell; `what` is "C for B". times: how often."""

    place: str
    what: str
    times: int = 1

    @property
    def text(self) -> str:
        """All in one line: "bar 3: C for B, 2×"."""
        return f"{self.place}: {self.how_often}" if self.place else self.how_often

    @property
    def how_often(self) -> str:
        """What, and how often where that was more than once: "C for B, 2×"."""
        return f"{self.what}, {self.times}×" if self.times > 1 else self.what


def brief_of(asked: Asked, finding: Finding, times: int = 1) -> Brief:
    """Return a finding in a few words. times: how often the same was found."""
    return Brief(f"bar {finding.bar}" if finding.bar else "pick-up", _what(asked, finding), times)


def _what(asked: Asked, finding: Finding) -> str:
    note = asked.played(finding.played).note.note
    melody = note.label if note is not None else "a rest"
    match finding.kind:
        case FindingKind.WRONG_NOTE:
            return f"{_label(finding.heard)} for {_label(finding.asked)}"
        case FindingKind.MISSING_NOTE:
            return "some notes skipped" if len(finding.asked) > 1 else f"{_label(finding.asked)} left out"
        case FindingKind.EXTRA_NOTE:
            return f"extra {_label(finding.heard)}"
        case FindingKind.WRONG_GRACENOTE:
            words = f"{_label(finding.heard)} for {_grace(finding.asked)}"
            return words if len(words) <= MOST_LETTERS else words.removesuffix(" gracenote")
        case FindingKind.EXTRA_GRACENOTE:
            return f"extra {_grace(finding.heard)}"
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
            return "not even" if finding.asked == ratio_words(1.0) else "pointed too little"
        case FindingKind.BREAK:
            return "a silence"
        case FindingKind.RESTART:
            return f"{melody} once more"
    return finding.place


def _gracenotes(asked: Asked, finding: Finding) -> str:
    """One gracenote by its name, "D gracenote"; several by the last word of their family, "doubling"."""
    if len(finding.asked) == 1:
        return _grace(finding.asked)
    embellishment = asked.schedule.embellishments[finding.played]
    if embellishment is None or embellishment.family is Family.UNNAMED:
        return "gracenotes"
    family: str = embellishment.family.value
    return family.rpartition(" ")[2]


def _label(letter: str) -> str:
    return Note.from_letter(letter).label


def _grace(letter: str) -> str:
    return grace_name(Note.from_letter(letter)).removeprefix("the ")
