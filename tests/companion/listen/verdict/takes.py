"""Takes of twenty and more kinds, each with one thing for a teacher to say, and a few with many."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from random import Random

from companion.listen.judgement import Judgement, judge
from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Played, Sounded
from companion.listen.model.terms import AT_SPEED, TakeTerms
from companion.schedule.build import build_schedule
from companion.schedule.events import EventKind
from companion.schedule.timing import Timing
from companion.score.model import MelodyNote, Tune
from fingering.notes import Note
from tests.learners.learner import Learner
from tests.learners.player import simulate
from tests.learners.tunes import make_tune

TUNE_DRAW = 3
TAKE_DRAW = 11
STEADY = Learner(64.0, spread=0.015, drift=0.01)

AT_TEMPO = Timing()


@dataclass(frozen=True, slots=True)
class Take:
    """What was played, of which tune, on which terms."""

    tune: Tune
    events: Sequence[Played]
    terms: TakeTerms = AT_SPEED


def of_one_part() -> Tune:
    """Eight bars, played twice."""
    return make_tune(TUNE_DRAW, parts=1)


def of_two_parts() -> Tune:
    """Two parts of eight bars, each played twice."""
    return make_tune(TUNE_DRAW, parts=2)


def learner(played_by: Learner, *, tune: Callable[[], Tune] = of_one_part, terms: TakeTerms = AT_SPEED) -> Take:
    """The take of a simulated learner."""
    return Take(tune(), simulate(tune(), played_by, TAKE_DRAW).notes, terms)


def slipping(*kinds: FindingKind, chance: float = 0.1) -> Take:
    """The take of a steady learner who now and then makes one kind of slip."""
    return learner(replace(STEADY, faults=chance, kinds=kinds))


def exactly(tune: Tune, timing: Timing = AT_TEMPO) -> list[Sounded]:
    """A tune played exactly in that timing."""
    schedule = build_schedule(tune, timing)
    told = [
        Sounded(1.0 + each.start_s, each.note if each.kind is not EventKind.REST else None) for each in schedule.events
    ]
    return [*told, Sounded(1.0 + schedule.duration_s, None)]


def gracenotes_dropped(chance: float) -> Take:
    """A tune played exactly, but for gracenotes that are left out; those that part two equal notes are kept."""
    tune, random = of_two_parts(), Random(TAKE_DRAW)
    schedule = build_schedule(tune, Timing())
    events = exactly(tune)
    kept: list[Sounded] = []
    earlier_s = 0.0
    for event, sounded, following in zip(schedule.events, events, events[1:], strict=False):
        parts_equal = bool(kept) and kept[-1].note is schedule.played[event.played].note.note
        if event.kind is EventKind.GRACENOTE and not parts_equal and random.random() < chance:
            earlier_s += following.at_s - sounded.at_s
            continue
        kept.append(replace(sounded, at_s=sounded.at_s - earlier_s))
        earlier_s = earlier_s if event.kind is EventKind.GRACENOTE else 0.0
    return Take(tune, [*kept, events[-1]])


def slowing(from_bpm: float, to_bpm: float) -> Take:
    """A steady take whose tempo falls with the second part."""
    tune = of_two_parts()
    events = simulate(tune, replace(STEADY, beats_per_minute=from_bpm), TAKE_DRAW).notes
    change_s = events[0].at_s + (events[-1].at_s - events[0].at_s) / 2.0
    slower = from_bpm / to_bpm
    return Take(
        tune,
        [
            replace(each, at_s=change_s + slower * (each.at_s - change_s)) if each.at_s > change_s else each
            for each in events
        ],
    )


def in_order(*parts: int, of: int) -> Take:
    """A steady take of a tune of so many parts that has them in another order."""
    tune = make_tune(TUNE_DRAW, parts=of)
    order = tuple(bar for part in parts for bar in range(tune.parts[part].first, tune.parts[part].stop))
    return Take(tune, simulate(replace(tune, order=order), STEADY, TAKE_DRAW).notes)


def gracenote_held() -> Take:
    """A take in which a G gracenote is held for all of its note."""
    tune = of_one_part()
    schedule, events = build_schedule(tune, Timing()), exactly(tune)
    held = next(
        rank
        for rank, each in enumerate(schedule.events)
        if each.kind is EventKind.GRACENOTE
        and each.played > 9
        and each.note is Note.HIGH_G
        and _is_single(schedule.played[each.played].note)
    )
    return Take(tune, [*events[: held + 1], *events[held + 2 :]])


def _is_single(note: MelodyNote) -> bool:
    return note.gracenotes == (Note.HIGH_G,) and note.duration >= Fraction(1, 8)


def last_note_wrong() -> Take:
    """A steady take that ends on another note."""
    take = learner(STEADY)
    *before, last, end = take.events
    assert isinstance(last, Sounded)
    return replace(take, events=[*before, Sounded(last.at_s, Note.HIGH_A), end])


TAKES: Mapping[str, Callable[[], Take]] = {
    "faultless": lambda: learner(STEADY),
    "crossings": lambda: learner(Learner(60.0, spread=0.02, faults=0.3, kinds=(FindingKind.CROSSING,))),
    "late": lambda: slipping(FindingKind.LATE),
    "early": lambda: slipping(FindingKind.EARLY),
    "pointing": lambda: slipping(FindingKind.POINTING, chance=0.4),
    "wrong_note": lambda: slipping(FindingKind.WRONG_NOTE, chance=0.05),
    "gracenote_held": gracenote_held,
    "long_gracenotes": lambda: slipping(FindingKind.LONG_GRACENOTE),
    "gracenotes": lambda: learner(
        Learner(64.0, faults=0.3, kinds=(FindingKind.MISSING_GRACENOTE, FindingKind.LONG_GRACENOTE, FindingKind.UNEVEN))
    ),
    "few_gracenotes": lambda: gracenotes_dropped(0.6),
    "no_gracenotes": lambda: gracenotes_dropped(1.0),
    "slow_gracenotes": lambda: Take(of_one_part(), exactly(of_one_part(), Timing(35.0, gracenote_s=0.110))),
    "unsteady": lambda: learner(Learner(56.0, spread=0.06, drift=0.08), tune=of_two_parts),
    "tempo_falls": lambda: slowing(58.0, 49.0),
    "parts_swapped": lambda: in_order(1, 1, 0, 0, of=2),
    "part_left_out": lambda: in_order(0, 0, 2, 2, of=3),
    "restarts": lambda: learner(replace(STEADY, restarts=0.3)),
    "stops": lambda: learner(replace(STEADY, stops=0.4)),
    "last_note": last_note_wrong,
    "ahead_of_metronome": lambda: learner(replace(STEADY, beats_per_minute=63.0), terms=TakeTerms(metronome_bpm=60.0)),
    "beginner": lambda: learner(Learner(30.0, spread=0.04, drift=0.05, faults=0.1)),
    "rhythm": lambda: learner(Learner(56.0, spread=0.02, faults=0.5, kinds=(FindingKind.POINTING, FindingKind.LATE))),
    "stumbling": lambda: learner(Learner(48.0, spread=0.03, drift=0.08, faults=0.08, restarts=0.3, stops=0.15)),
    "many_faults": lambda: learner(Learner(50.0, spread=0.03, drift=0.05, faults=0.4)),
}


@cache
def judged(name: str) -> Judgement:
    """One of the takes, judged."""
    take = TAKES[name]()
    return judge(take.tune, take.events, terms=take.terms)
