"""Piping checks: what can be read, but not be played or heard as written. All are warnings."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain, pairwise

from companion.score.model import MelodyNote, Tune
from companion.score.performance import performance
from companion.score.place import Place
from companion.score.problems import Problem, ProblemKind
from fingering.notes import Note

# On these the upper index finger is up, so it cannot be lifted for a G gracenote: common practice, no source.
_INDEX_UP = frozenset({Note.HIGH_G, Note.HIGH_A})


def check(tune: Tune) -> tuple[Problem, ...]:
    """Warnings about `tune` in the order of their places. Neighbours are those of the performance, repeats and all."""
    notes = tune.notes
    played = [each.note.rank for each in performance(tune)]
    pairs = sorted(set(pairwise(played)), key=lambda pair: (pair[1], pair[0]))
    found = chain(_rests(notes), *(_between(notes[before], notes[after]) for before, after in pairs))
    unique: dict[Place, Problem] = {}
    for problem in found:
        unique.setdefault(problem.place, problem)
    return tuple(sorted(unique.values(), key=lambda problem: (problem.place.line, problem.place.column)))


def _rests(notes: tuple[MelodyNote, ...]) -> Iterator[Problem]:
    """The sound of the pipes never stops: common practice, no source. Said once for a tune."""
    rest = next((note for note in notes if note.note is None), None)
    if rest is not None:
        what = "a chanter cannot rest: the note before goes on sounding"
        yield Problem(rest.place, ProblemKind.REST, what, "lengthen that note instead")


def _between(before: MelodyNote, after: MelodyNote) -> Iterator[Problem]:
    """What is wrong with the way from one note to the next."""
    if before.note is None or after.note is None:
        return
    if not after.gracenotes:
        if before.note is after.note:
            what = f"two notes on {after.note.label} with nothing between them sound as one"
            remedy = "write a gracenote or a strike between them, or tie them"
            yield Problem(after.place, ProblemKind.NOTES_NOT_PARTED, what, remedy)
        return
    first = after.gracenotes[0]
    if first is Note.HIGH_G and before.note in _INDEX_UP and after.note not in _INDEX_UP:
        yield Problem(after.grace_place(0), ProblemKind.GRACENOTE_OUT_OF_REACH, *_no_index_to_lift(before.note, after))
    elif first is before.note:
        what = f"a gracenote on {first.label} after the same note is not heard"
        yield Problem(after.grace_place(0), ProblemKind.GRACENOTE_NOT_HEARD, what, "leave it out or choose another")
    yield from _unheard_gracenotes(before.note, after, after.note)


def _no_index_to_lift(before: Note, after: MelodyNote) -> tuple[str, str]:
    what = f"there is no G gracenote from {before.label}: the upper index finger is already up"
    half = "write the half doubling" if len(after.gracenotes) > 1 else "leave it out"
    return what, half if before is Note.HIGH_A else f"{half}, or let the thumb play it: a high A gracenote"


def _unheard_gracenotes(before: Note, after: MelodyNote, onto: Note) -> Iterator[Problem]:
    """Gracenotes that sound the same as the gracenote before them, or the last one as its melody note.

    Between two high As a high G is no gracenote but a strike: the thumb falls.
    """
    for i, (one, two) in enumerate(pairwise(after.gracenotes), start=1):
        if one is two:
            what = f"two gracenotes on {two.label} with nothing between them sound as one"
            yield Problem(after.grace_place(i), ProblemKind.GRACENOTE_NOT_HEARD, what, "leave one out")
    last = after.gracenotes[-1]
    if last is onto:
        what = f"a gracenote on {onto.label} before the same note is not heard"
        yield Problem(after.grace_place(-1), ProblemKind.GRACENOTE_NOT_HEARD, what, "leave it out or choose another")
    elif len(after.gracenotes) == 1 and last is Note.HIGH_G and onto is Note.HIGH_A and before is not onto:
        what = "there is no G gracenote onto high A: the upper index finger has to stay up"
        yield Problem(
            after.grace_place(-1), ProblemKind.GRACENOTE_OUT_OF_REACH, what, "leave it out or write the doubling {ag}"
        )
