"""Takes made of figures, days of a fake clock, and books in a folder."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

from companion.lesson.model.known import Skill, SkillHeard, SkillKind
from companion.lesson.progress.heard import KeptFinding, PlayedTake
from companion.listen.model.findings import FindingKind
from companion.listen.verdict.matter.evidence import Share
from companion.midi.takes.heading import TuneIdentity

FIRST = datetime(2026, 3, 2, 19, 30, tzinfo=timezone(timedelta(hours=1)))
TAORLUATH = Skill(SkillKind.EMBELLISHMENT, "GdGe>A")
CROSSING = Skill(SkillKind.CHANGE, "d>e")
TUNE = TuneIdentity("A Tune Of Somebody's", "a.abc", "1", "0" * 64)


def on_day(number: int, hours: float = 0.0) -> datetime:
    """So many days after the first, and so many hours after half past seven in the evening."""
    return FIRST + timedelta(days=number, hours=hours)


def heard(skill: Skill, clean: int, asked: int, uneven: int = 0) -> SkillHeard:
    """A skill that went well so often."""
    return SkillHeard(skill, asked, clean, uneven)


def take(
    began: datetime,
    *skills: SkillHeard,
    tempo: float | None = 60.0,
    right: int = 100,
    file: str = "",
    tune: TuneIdentity | None = TUNE,
) -> PlayedTake:
    """A take of a hundred notes, with one finding."""
    finding = KeptFinding(FindingKind.CROSSING, 3, 17, 31.5)
    shares = Share(right, 100), Share(40, 50), Share(90, 99)
    return PlayedTake(file, began, tune, tempo, *shares, skills, (finding,))


def utc(moment: datetime) -> datetime:
    """The same moment in UTC."""
    return moment.astimezone(UTC)
