"""Makes the lesson of a tune: its steps in the order in which it is taught, for what one learner knows.

Each phrase is preceded by what is new in it; two phrases are joined, then lines, parts and the whole. What was learnt
in an earlier place is not learnt again.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from companion.lesson.model.known import NOTHING_KNOWN, Known, Skill
from companion.lesson.model.phrases import FoundPhrase, Likeness, TunePlan
from companion.lesson.model.steps import Lesson, Step, StepKind
from companion.lesson.steps.make import drill_step, in_place_step, turns_step
from companion.lesson.steps.needs import Needs, both_ways, needs_of, new_embellishments, worst_changes
from companion.lesson.steps.turns import bar_of_number, once_through, stretch_of_turns, ways_through, with_repeats
from companion.listen.model.words import listed
from companion.score.model import Tune
from companion.score.performance import performance

PHRASES_IN_PAIR = 2
PHRASES_IN_LINE = 4

_LEARNT_WHOLE = frozenset({None, Likeness.SAME, Likeness.SAME_RHYTHM})
"""A phrase of the same rhythm with other notes is a new one to the fingers; all others are learnt by what differs."""


def lesson_of(tune: Tune, plan: TunePlan, known: Known = NOTHING_KNOWN) -> Lesson:
    """The lesson of a tune for a learner who knows so much; whoever knows its embellishments has a shorter one."""
    sounds = any(each.note.note is not None for each in performance(tune))
    return Lesson(tune, plan, tuple(_LessonMaker(tune, plan, known).steps()) if sounds else ())


class _LessonMaker:
    """Goes through a tune part by part, and keeps what has been taught by then."""

    def __init__(self, tune: Tune, plan: TunePlan, known: Known) -> None:
        self._tune, self._plan = tune, plan
        self._needs: Needs = needs_of(tune)
        self._untaught = [*new_embellishments(self._needs, known), *worst_changes(self._needs, known)]
        self._learnt: set[tuple[str, ...]] = set()

    def steps(self) -> Iterator[Step]:
        """All steps."""
        learnt: list[int] = []
        for part, phrases in enumerate(self._plan.parts):
            if self._is_new([self._plan.phrases[rank].name for rank in phrases], "part"):
                yield from self._part(part, phrases)
                yield from self._joined(learnt[-1:], part)
                learnt.append(part)
        yield from self._new_in(self._needs.notes)
        for kind, what in ((StepKind.WHOLE, "the whole tune"), (StepKind.BY_HEART, "the whole tune by heart")):
            yield turns_step(self._tune, kind, self._all, what)

    @property
    def _all(self) -> range:
        return range(len(self._tune.order))

    def _part(self, part: int, ranks: range) -> Iterator[Step]:
        phrases = [self._plan.phrases[rank] for rank in ranks]
        for line in _in_groups(phrases, PHRASES_IN_LINE):
            for pair in _in_groups(line, PHRASES_IN_PAIR):
                for phrase in pair:
                    yield from self._phrase(phrase)
                yield from self._together(StepKind.PAIR, pair)
            if len(line) > PHRASES_IN_PAIR:
                yield from self._together(StepKind.LINE, line)
        once = self._usual_way(phrases)
        turns = with_repeats(self._tune, phrases[0].first, phrases[-1].stop - 1) if phrases else None
        if turns is None or turns == self._all or (turns == once and len(phrases) <= PHRASES_IN_LINE):
            return  # the whole follows, or the line was all of it
        label = self._tune.parts[part].label
        repeated = " with its repeat" if turns != once else ""
        yield from self._step(StepKind.PART, turns, f"part {label}{repeated}")

    def _joined(self, before: Sequence[int], part: int) -> Iterator[Step]:
        """The part before and this one, where they are not the whole tune."""
        if not before or not all(self._plan.parts[each] for each in (before[0], part)):
            return
        first = self._plan.phrases[self._plan.parts[before[0]][0]].first
        last = self._plan.phrases[self._plan.parts[part][-1]].stop - 1
        turns = with_repeats(self._tune, first, last)
        if turns is not None and turns != self._all:
            labels = [self._tune.parts[each].label for each in (before[0], part)]
            yield from self._step(StepKind.JOINED, turns, f"parts {listed(labels)}")

    def _phrase(self, phrase: FoundPhrase) -> Iterator[Step]:
        """One phrase: what is new in it, then out of time, then in time; what is like another by its differences."""
        if not self._is_new([phrase.name], "phrase"):
            return
        usual, *others = ways_through(self._tune, phrase.first, phrase.stop) or (None,)
        if usual is None:
            return
        name = f"phrase {phrase.name}"
        if phrase.likeness not in _LEARNT_WHOLE and phrase.differences:
            yield from self._differences(phrase)
        else:
            yield from self._step(StepKind.PHRASE_FREELY, usual, name)
        yield from self._step(StepKind.PHRASE, usual, name)
        for rank, other in enumerate(others, start=2):
            yield from self._step(StepKind.DIFFERENCE, other, f"{name}, ending {rank}")

    def _differences(self, phrase: FoundPhrase) -> Iterator[Step]:
        """The bars in which a phrase differs from the one that it is like."""
        bars = [bar_of_number(self._tune, each.bar) for each in phrase.differences]
        inside = sorted(bar for bar in bars if bar is not None and bar in phrase.bars)
        turns = once_through(self._tune, inside[0], inside[-1]) if inside else None
        if turns is not None:
            yield from self._step(StepKind.DIFFERENCE, turns, f"phrase {phrase.name} where it is not {phrase.like}")

    def _together(self, kind: StepKind, phrases: Sequence[FoundPhrase]) -> Iterator[Step]:
        """Phrases in a row, if these have not been played in a row before."""
        turns = self._usual_way(phrases)
        names = [phrase.name for phrase in phrases]
        if len(phrases) < 2 or turns is None or turns == self._all or not self._is_new(names, kind.value):
            return
        yield from self._step(kind, turns, f"{'phrases' if kind is StepKind.PAIR else 'line'} {listed(names)}")

    def _usual_way(self, phrases: Sequence[FoundPhrase]) -> range | None:
        """The turns of phrases in a row as they are played first, with a first ending; None where they never are."""
        ways = ways_through(self._tune, phrases[0].first, phrases[-1].stop) if phrases else ()
        return next(iter(ways), None)

    def _step(self, kind: StepKind, turns: range, what: str) -> Iterator[Step]:
        """A step of the tune, and before it what is new in it; none where nothing is played."""
        try:
            stretch = stretch_of_turns(self._tune, turns)
        except ValueError:
            return
        yield from self._new_in(self._needs.notes if stretch is None else stretch.notes)
        yield turns_step(self._tune, kind, turns, what)

    def _new_in(self, notes: range) -> Iterator[Step]:
        """What is new in some notes and was not taught by then: each embellishment alone, then in its place."""
        here = [skill for skill in self._untaught if any(self._asks(each, notes) for each in both_ways(skill))]
        for skill in here:
            self._untaught.remove(skill)
            yield drill_step(self._tune, self._needs, skill)
            placed = in_place_step(self._tune, self._needs, skill, notes)
            if placed is not None and self._needs.embellishment(skill) is not None:
                yield placed

    def _asks(self, skill: Skill, notes: range) -> bool:
        return self._needs.first_in(skill, notes) is not None

    def _is_new(self, names: Iterable[str], what: str) -> bool:
        """Whether something made of phrases of these names has not been learnt by then; it is learnt from now on."""
        key = (what, *names)
        new = key not in self._learnt
        self._learnt.add(key)
        return new


def _in_groups(phrases: Sequence[FoundPhrase], size: int) -> Iterator[Sequence[FoundPhrase]]:
    for start in range(0, len(phrases), size):
        yield phrases[start : start + size]
