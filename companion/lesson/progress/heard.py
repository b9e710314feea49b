"""What one judged take tells of its learner: how each skill in it went, and the figures that are kept of it."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from companion.lesson.model.known import Skill, SkillHeard
from companion.listen.judgement import Judgement
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.verdict.matter.evidence import Share
from companion.midi.takes.heading import TuneIdentity
from companion.schedule.tune_use import changes_in
from companion.score.model import Tune

_OF_GRACENOTES = frozenset(
    {
        FindingKind.MISSING_GRACENOTE,
        FindingKind.EXTRA_GRACENOTE,
        FindingKind.WRONG_GRACENOTE,
        FindingKind.LONG_GRACENOTE,
        FindingKind.UNEVEN,
        FindingKind.CROSSING,
    }
)
"""What makes an embellishment not clean; so does a crossing noise in it, for its fingers did not go together."""


SLOWEST_THAT_TELLS = 2.0
"""How many times slower gracenotes may be asked for to tell whether they are known: who places fingers one by one, four
times slower, learns, but does not know yet (a choice, no source)."""

NOTHING_ASKED = Share(0, 0)


@dataclass(frozen=True, slots=True)
class KeptFinding:
    """What is kept of a finding: its kind, the number of its bar, the rank of its written note, and how much in ms."""

    kind: FindingKind
    bar: int
    note: int
    ms: float | None = None


@dataclass(frozen=True, slots=True)
class PlayedTake:
    """What is kept of a take. file: the name of its file, "" where it has none. began: when, with its time zone.

    tune: None in free play. tempo: in beats a minute as the tune counts them, None where there was none to be heard.
    notes, gracenotes, movements: as in a verdict.
    """

    file: str
    began: datetime
    tune: TuneIdentity | None = None
    tempo: float | None = None
    notes: Share = NOTHING_ASKED
    gracenotes: Share = NOTHING_ASKED
    movements: Share = NOTHING_ASKED
    skills: tuple[SkillHeard, ...] = ()
    findings: tuple[KeptFinding, ...] = ()


def played_take(judgement: Judgement, tune: Tune | None, file: str, began: datetime) -> PlayedTake:
    """What is kept of a judged take of a tune. tune: as it is written, by which it is known again; None for a drill."""
    verdict = judgement.verdict
    pace = None if tune is None else verdict.pace
    return PlayedTake(
        file,
        began,
        None if tune is None else TuneIdentity.of(tune),
        None if pace is None else pace.in_beats(pace.qpm),
        verdict.notes,
        verdict.gracenotes,
        verdict.movements,
        () if judgement.asked.terms.gracenotes_slowed > SLOWEST_THAT_TELLS else skills_heard(judgement),
        tuple(KeptFinding(each.kind, each.bar, each.note, each.ms) for each in judgement.findings),
    )


def skills_heard(judgement: Judgement) -> tuple[SkillHeard, ...]:
    """How each embellishment and each change of note went that a take was asked for and that was heard in it.

    What the take never came to counts neither way. An embellishment that was left out between two equal notes, which
    sound as one then, was asked for and is not clean; where all gracenotes of a take were slow, which is found once,
    none is. A note that was heard twice, since its learner began again, counts
    twice, and a finding is held against the hearing that is nearest to it in time.
    """
    found = _by_hearing(judgement)
    asked_for = _asked_at(judgement)
    all_slow = any(each.throughout and each.kind is FindingKind.LONG_GRACENOTE for each in judgement.findings)
    asked: Counter[Skill] = Counter()
    clean: Counter[Skill] = Counter()
    uneven: Counter[Skill] = Counter()
    for rank, (played, _) in enumerate(judgement.places):
        for skill in asked_for.get(played, ()):
            amiss = [each for each in found.get(rank, ()) if _is_against(skill, each, asked_for[played])]
            asked[skill] += 1
            clean[skill] += not amiss and not (all_slow and skill.is_embellishment)
            uneven[skill] += any(each.kind is FindingKind.UNEVEN for each in amiss)
    asked.update(_left_out(judgement, asked_for))
    return tuple(SkillHeard(skill, asked[skill], clean[skill], uneven[skill]) for skill in sorted(asked, key=_order))


def _left_out(judgement: Judgement, asked_for: Mapping[int, list[Skill]]) -> Iterator[Skill]:
    """The embellishments that are missing before a note that was not heard to begin."""
    heard = {played for played, _ in judgement.places}
    missing = {each.played for each in judgement.findings if each.kind is FindingKind.MISSING_GRACENOTE}
    for played in sorted(missing - heard):
        yield from (skill for skill in asked_for.get(played, ()) if skill.is_embellishment)


def _order(skill: Skill) -> tuple[str, str]:
    return skill.kind.value, skill.key


def _by_hearing(judgement: Judgement) -> Mapping[int, list[Finding]]:
    """The findings by the rank, among the places, of the hearing that each of them belongs to.

    A gracenote that is missing or a noise before a note is found before or after the note's own onset.
    """
    hearings: dict[int, list[int]] = defaultdict(list)
    for rank, (played, _) in enumerate(judgement.places):
        hearings[played].append(rank)
    found: dict[int, list[Finding]] = defaultdict(list)
    for each in judgement.findings:
        if ranks := hearings.get(each.played):
            nearest = min(ranks, key=lambda rank: abs(judgement.places[rank][1] - each.at_s))
            found[nearest].append(each)
    return found


def _asked_at(judgement: Judgement) -> Mapping[int, list[Skill]]:
    """The skills that each played note is asked with."""
    asked = judgement.asked
    there: dict[int, list[Skill]] = defaultdict(list)
    for played, skill in _all_asked(judgement):
        if played in asked.notes:
            there[played].append(skill)
    return there


def _all_asked(judgement: Judgement) -> Iterator[tuple[int, Skill]]:
    asked = judgement.asked
    stretch, schedule = asked.terms.stretch, asked.schedule
    for played, embellishment in enumerate(schedule.embellishments):
        led_onto = stretch is None or stretch.led_onto or played != stretch.first
        if embellishment is not None and led_onto:
            yield played, Skill.of_embellishment(embellishment)
    for event, (before, after) in changes_in(schedule):
        played = schedule.events[event].played
        if stretch is None or played != stretch.first:  # what comes before a stretch is not asked for
            yield played, Skill.of_change(before, after)


def _is_against(skill: Skill, finding: Finding, asked_there: list[Skill]) -> bool:
    """Whether a finding at a note makes a skill that is asked for there not clean."""
    if finding.crossing is None:
        return skill.is_embellishment and finding.kind in _OF_GRACENOTES
    change = next((each for each in asked_there if _leaves(each, finding.crossing.before)), None)
    return skill == change or (change is None and skill.is_embellishment)


def _leaves(skill: Skill, note: str) -> bool:
    """Whether a skill is a change from a note. With a gracenote lifted meanwhile a noise ends at that gracenote."""
    return not skill.is_embellishment and skill.notes[0][0].letter == note
