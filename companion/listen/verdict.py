"""What a teacher would say after a take: what to mend first, with a drill for each, and what went well."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from statistics import median

from companion.listen.asked import Asked
from companion.listen.drills import Drill, drill_for
from companion.listen.findings import Finding, FindingKind
from companion.listen.interpret import Tally
from fingering.embellishments import Family

FIRST = 3
"""How many things are named to be mended first: more at once are none."""

RECURS = 2
CLEAN = 0.95
WINDOW_NOTES = 8

# What a teacher mends first: what has become a habit of the fingers, then what is left out, then the sound of the
# embellishments, then rhythm. Common practice, no source.
_RANKS = {
    FindingKind.CROSSING: 0,
    FindingKind.WRONG_NOTE: 0,
    FindingKind.MISSING_GRACENOTE: 1,
    FindingKind.MISSING_NOTE: 1,
    FindingKind.WRONG_GRACENOTE: 2,
    FindingKind.EXTRA_NOTE: 2,
    FindingKind.EXTRA_GRACENOTE: 2,
    FindingKind.LONG_GRACENOTE: 3,
    FindingKind.UNEVEN: 3,
    FindingKind.POINTING: 4,
    FindingKind.LATE: 5,
    FindingKind.EARLY: 5,
    FindingKind.BREAK: 6,
    FindingKind.RESTART: 6,
}
_SINGLE = 10


@dataclass(frozen=True, slots=True)
class Matter:
    """One thing to learn: findings with one cause, and the drill for it."""

    findings: tuple[Finding, ...]
    drill: Drill

    @property
    def count(self) -> int:
        """How often it was heard."""
        return len(self.findings)

    @property
    def kind(self) -> FindingKind:
        """The kind of its findings."""
        return self.findings[0].kind


@dataclass(frozen=True, slots=True)
class Share:
    """So many played as asked, of so many."""

    right: int
    of: int

    @property
    def share(self) -> float:
        """0 to 1; 1 of none."""
        return self.right / self.of if self.of else 1.0


@dataclass(frozen=True, slots=True)
class Pace:
    """Crotchets a minute over the take: in the middle, and the slowest and fastest stretch of WINDOW_NOTES notes."""

    qpm: float
    slowest_qpm: float
    fastest_qpm: float

    @property
    def wander(self) -> float:
        """How far the extremes lie apart, as a share of the tempo."""
        return (self.fastest_qpm - self.slowest_qpm) / self.qpm


@dataclass(frozen=True, slots=True)
class Verdict:
    """The verdict on a take. `matters` are all, the first to be mended first; `first` the three that count most.

    notes, gracenotes, movements: melody notes and gracenotes played as asked, movements from note to note without a
    noise. not_judged: what could not be, and why.
    """

    title: str
    matters: tuple[Matter, ...]
    went_well: tuple[str, ...]
    pace: Pace | None
    notes: Share
    gracenotes: Share
    movements: Share
    not_judged: tuple[str, ...]

    @property
    def first(self) -> tuple[Matter, ...]:
        """What to mend first."""
        return self.matters[:FIRST]


def verdict_on(
    asked: Asked, findings: Sequence[Finding], tally: Tally, moments: Sequence[tuple[int, float]], title: str
) -> Verdict:
    """The verdict on a take that was heard to its end. moments: its played notes and their beats, in s."""
    notes = Share(tally.notes_right, tally.notes)
    gracenotes = Share(tally.gracenotes_right, tally.gracenotes)
    movements = Share(tally.movements_clean, tally.movements)
    pace = pace_of(asked, moments)
    return Verdict(
        title,
        _matters(asked, findings),
        tuple(_went_well(asked, findings, tally, notes, gracenotes, movements, pace)),
        pace,
        notes,
        gracenotes,
        movements,
        tuple(_not_judged(asked, tally)),
    )


def _matters(asked: Asked, findings: Sequence[Finding]) -> tuple[Matter, ...]:
    return tuple(Matter(group, drill_for(asked, group)) for group in most_urgent(findings))


def most_urgent(findings: Sequence[Finding]) -> list[tuple[Finding, ...]]:
    """Findings by their cause, what a teacher would mend first at the head."""
    groups: dict[Hashable, list[Finding]] = defaultdict(list)
    for finding in findings:
        groups[(finding.kind, finding.cause)].append(finding)
    return [tuple(group) for group in sorted(groups.values(), key=_urgency)]


def _urgency(group: Sequence[Finding]) -> tuple[int, int, float]:
    """Habits before single slips, then a teacher's order, then how often."""
    rank = _RANKS[group[0].kind] + (0 if len(group) >= RECURS else _SINGLE)
    return rank, -len(group), group[0].at_s


def _went_well(
    asked: Asked,
    findings: Sequence[Finding],
    tally: Tally,
    notes: Share,
    gracenotes: Share,
    movements: Share,
    pace: Pace | None,
) -> list[str]:
    said: list[str] = []
    if notes.of and notes.right == notes.of:
        said.append("Every melody note was right.")
    elif notes.share >= CLEAN:
        said.append(f"The melody is known: {notes.right} of {notes.of} notes were right.")
    if gracenotes.of and gracenotes.share >= CLEAN:
        said.append(f"The gracenotes are there: {gracenotes.right} of {gracenotes.of}.")
    if movements.of and movements.share >= CLEAN:
        said.append(f"The fingers move together: {movements.right} of {movements.of} movements were clean.")
    if pace is not None and pace.wander <= 0.1:
        said.append("The tempo was steady.")
    said += _good_embellishments(asked, findings, tally)
    if not any(each.kind is FindingKind.POINTING for each in findings) and notes.of:
        said.append("Long notes were long and short notes short.")
    if not said:
        said.append("You played on to where you stopped, and that is how it is learnt.")
    return said


def _good_embellishments(asked: Asked, findings: Sequence[Finding], tally: Tally) -> list[str]:
    """The family of embellishments most often played without a word to say."""
    faulty = {finding.played for finding in findings}
    good: Counter[Family] = Counter()
    bad: set[Family] = set()
    for played, _ in tally.places:
        each = asked.schedule.embellishments[played]
        if each is None or len(each.gracenotes) < 2 or each.family is Family.UNNAMED:
            continue
        good[each.family] += 1
        if played in faulty:
            bad.add(each.family)
    best = max((family for family in good if family not in bad), key=lambda family: good[family], default=None)
    if best is None or good[best] < RECURS:
        return []
    return [f"The embellishments of the {best.value} sort were good, all {good[best]}."]


def _not_judged(asked: Asked, tally: Tally) -> list[str]:
    said = []
    if not asked.has_gracenotes:
        said.append("Gracenotes: the tune as it is written here has none.")
    if tally.skipped_bars:
        said.append(f"Bars {', '.join(map(str, sorted(set(tally.skipped_bars))))}: they were skipped.")
    last = max((played for played, _ in tally.places), default=0)
    if last < len(asked.schedule.played) - 1 and tally.places:
        heard_to = asked.played(last).bar.number
        said.append(f"What comes after bar {heard_to}: the take ends there.")
    return said


def pace_of(asked: Asked, moments: Sequence[tuple[int, float]]) -> Pace | None:
    """Tempo from beats (played note, s), stretches with a stop or a leap left out; None from too few."""
    crotchets = _crotchets(asked)
    slopes = []
    for (one, one_s), (two, two_s) in zip(moments, moments[WINDOW_NOTES:], strict=False):
        asked_for = crotchets[two] - crotchets[one]
        if two - one == WINDOW_NOTES and asked_for > 0.0 and two_s > one_s:
            slopes.append((two_s - one_s) / asked_for)
    if not slopes:
        return None
    middle = median(slopes)
    kept = sorted(slope for slope in slopes if 0.67 < slope / middle < 1.5)
    trim = len(kept) // 20
    kept = kept[trim : len(kept) - trim] or kept
    return Pace(60.0 / middle, 60.0 / kept[-1], 60.0 / kept[0])


def _crotchets(asked: Asked) -> list[float]:
    """Where each played note begins, in crotchets."""
    at, places = 0.0, []
    for each in asked.schedule.played:
        places.append(at)
        at += 4.0 * float(each.note.duration)
    return places
