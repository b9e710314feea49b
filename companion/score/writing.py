"""Reports what a piper would question in how a tune is written: odd spellings of embellishments, odd lengths of
part.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from companion.score.model import MelodyNote, Part, Tune
from companion.score.parts import INTRODUCTION
from companion.score.performance import performance
from companion.score.place import Place
from companion.score.problems import Problem, ProblemKind
from fingering.embellishments import recognise, usual_spelling
from fingering.notes import Note

# Parts of pipe tunes have 4, 8, 12 or 16 bars: common practice, no source.
_BARS_IN_PART = 4
_NOT_IN_PARTS = frozenset({"drill", "exercise"})


def check_writing(tune: Tune) -> tuple[Problem, ...]:
    """The warnings about `tune`, sorted by place."""
    found: dict[Place, Problem] = {}
    for problem in (*_odd_embellishments(tune), *_odd_parts(tune)):
        found.setdefault(problem.place, problem)
    return tuple(sorted(found.values(), key=lambda problem: problem.place))


def _odd_embellishments(tune: Tune) -> Iterator[Problem]:
    before: Note | None = None
    looked_at: set[tuple[int, Note | None]] = set()
    for played in performance(tune):
        note = played.note
        if note.note is not None and len(note.gracenotes) > 1 and (note.rank, before) not in looked_at:
            looked_at.add((note.rank, before))
            yield from _odd_embellishment(note, note.note, before)
        before = note.note


def _odd_embellishment(note: MelodyNote, onto: Note, before: Note | None) -> Iterator[Problem]:
    usual = usual_spelling(note.gracenotes, onto=onto, before=before)
    if usual is None:
        return
    name = recognise(usual, onto=onto, before=before).name
    come_from = f" from {before.label}" if before is not None else ""
    what = f"{{{_letters(note.gracenotes)}}} onto {onto.label}{come_from} is spelled oddly"
    remedy = f"is the {name} {{{_letters(usual)}}} meant?"
    yield Problem(note.grace_place(0), ProblemKind.ODD_EMBELLISHMENT, what, remedy)


def _letters(notes: tuple[Note, ...]) -> str:
    return "".join(note.letter for note in notes)


def _odd_parts(tune: Tune) -> Iterator[Problem]:
    if tune.rhythm.casefold() in _NOT_IN_PARTS:
        return
    for part in tune.parts:
        bars = _bars_of_a_pass(tune, part)
        if part.label != INTRODUCTION and bars is not None and bars > 2 and bars % _BARS_IN_PART:
            what = f"part {part.label} lasts {bars:g} bars, where most parts have 4, 8 or 16"
            remedy = "see whether a bar or a repeat is missing"
            yield Problem(tune.bars[part.first].place, ProblemKind.ODD_PART_LENGTH, what, remedy)


def _bars_of_a_pass(tune: Tune, part: Part) -> float | None:
    """How many full bars a part lasts when played once, rounded; None in a free metre and where metres are mixed."""
    within = range(part.first, part.stop)
    start = next((i for i, bar in enumerate(tune.order) if bar in within), None)
    if start is None:
        return None
    seen: list[int] = []
    for bar in tune.order[start:]:
        if bar not in within or bar in seen:
            break
        seen.append(bar)
    fulls = {tune.bars[i].meter.bar_length for i in seen}
    full = fulls.pop()
    if full is None or fulls:
        return None
    total = sum((tune.bars[i].length for i in seen), Fraction(0)) / full
    return float(round(total))
