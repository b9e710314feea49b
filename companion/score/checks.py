"""Piping checks: reports what can be read, but not played or heard as written. All are warnings."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import chain, pairwise
from operator import itemgetter
from typing import NamedTuple

from companion.score.model import MelodyNote, Tune
from companion.score.place import Place
from companion.score.problems import Problem, ProblemKind
from fingering.notes import Note

# On these the upper index finger is up, so it cannot be lifted for a G gracenote: common practice, no source.
_INDEX_UP = frozenset({Note.HIGH_G, Note.HIGH_A})


class _StepProblem(NamedTuple):
    """What is wrong with a step from one note to another: at gracenote `at`, or at the note itself (None)."""

    at: int | None
    kind: ProblemKind
    what: str
    remedy: str


def check(tune: Tune) -> tuple[Problem, ...]:
    """The warnings about `tune`, sorted by place. Neighbours are those of the performance, with repeats unfolded."""
    unique: dict[Place, Problem] = {}
    for problem in chain(_rests(tune), _faulty_steps(tune)):
        unique.setdefault(problem.place, problem)
    return tuple(sorted(unique.values(), key=lambda problem: (problem.place.line, problem.place.column)))


def _rests(tune: Tune) -> Iterator[Problem]:
    """The warning, once a tune, that it has rests: the sound of the pipes never stops (common practice, no source)."""
    rest = next((note for bar in tune.bars for note in bar.notes if note.note is None), None)
    if rest is not None:
        what = "a chanter cannot rest: the note before goes on sounding"
        yield Problem(rest.place, ProblemKind.REST, what, "lengthen that note instead")


def _faulty_steps(tune: Tune) -> Iterator[Problem]:
    """The warnings about steps from note to note, by the note stepped to, then by the note before it."""
    faulty: list[tuple[int, int, MelodyNote, tuple[_StepProblem, ...]]] = []
    for before, after in _steps(tune):
        if before.note is not None and after.note is not None:
            faults = _step_problems(before.note, after.note, after.gracenotes)
            if faults:
                faulty.append((after.rank, before.rank, after, faults))
    for _, _, after, faults in sorted(faulty, key=itemgetter(0, 1)):
        for at, kind, what, remedy in faults:
            yield Problem(after.place if at is None else after.grace_place(at), kind, what, remedy)


def _steps(tune: Tune) -> Iterator[tuple[MelodyNote, MelodyNote]]:
    """Each note of the performance with the one that is played before it, in any order, each pair once."""
    sounding = [i for i in tune.order if tune.bars[i].notes]
    for i in set(sounding):
        yield from pairwise(tune.bars[i].notes)
    for i, j in set(pairwise(sounding)):
        yield tune.bars[i].notes[-1], tune.bars[j].notes[0]


@lru_cache(maxsize=4096)
def _step_problems(before: Note, onto: Note, gracenotes: tuple[Note, ...]) -> tuple[_StepProblem, ...]:
    """What is wrong with the step from one note to the next."""
    return tuple(_each_step_problem(before, onto, gracenotes))


def _each_step_problem(before: Note, onto: Note, gracenotes: tuple[Note, ...]) -> Iterator[_StepProblem]:
    if not gracenotes:
        if before is onto:
            what = f"two notes on {onto.label} with nothing between them sound as one"
            remedy = "write a gracenote or a strike between them, or tie them"
            yield _StepProblem(None, ProblemKind.NOTES_NOT_PARTED, what, remedy)
        return
    first = gracenotes[0]
    if first is Note.HIGH_G and before in _INDEX_UP and onto not in _INDEX_UP:
        yield _no_index_to_lift(before, single=len(gracenotes) == 1)
    elif first is before:
        what = f"a gracenote on {first.label} after the same note is not heard"
        yield _StepProblem(0, ProblemKind.GRACENOTE_NOT_HEARD, what, "leave it out or choose another")
    yield from _unheard_gracenotes(before, onto, gracenotes)


def _no_index_to_lift(before: Note, *, single: bool) -> _StepProblem:
    what = f"there is no G gracenote from {before.label}: the upper index finger is already up"
    half = "leave it out" if single else "write the half doubling"
    remedy = half if before is Note.HIGH_A else f"{half}, or let the thumb play it: a high A gracenote"
    return _StepProblem(0, ProblemKind.GRACENOTE_OUT_OF_REACH, what, remedy)


def _unheard_gracenotes(before: Note, onto: Note, gracenotes: tuple[Note, ...]) -> Iterator[_StepProblem]:
    """Gracenotes that sound the same as the gracenote before them, or the last one as its melody note.

    Between two high As a high G is no gracenote but a strike: the thumb falls.
    """
    for i, (one, two) in enumerate(pairwise(gracenotes), start=1):
        if one is two:
            what = f"two gracenotes on {two.label} with nothing between them sound as one"
            yield _StepProblem(i, ProblemKind.GRACENOTE_NOT_HEARD, what, "leave one out")
    last = gracenotes[-1]
    if last is onto:
        what = f"a gracenote on {onto.label} before the same note is not heard"
        yield _StepProblem(len(gracenotes) - 1, ProblemKind.GRACENOTE_NOT_HEARD, what, "leave it out or choose another")
    elif len(gracenotes) == 1 and last is Note.HIGH_G and onto is Note.HIGH_A and before is not onto:
        what = "there is no G gracenote onto high A: the upper index finger has to stay up"
        yield _StepProblem(0, ProblemKind.GRACENOTE_OUT_OF_REACH, what, "leave it out or write the doubling {ag}")
