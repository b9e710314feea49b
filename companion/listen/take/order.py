"""In which order the parts of a tune were played: seen from where a first reading of a take found its learner.

A take with the parts in another order, one of them left out or played once more, is read anew as that, so that
nothing else is said of it than that.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from companion.listen.align.reading.steps import Reading, ReadStep
from companion.listen.model.asked import Asked, ask_for
from companion.listen.model.findings import Finding, FindingKind, finding_at
from companion.listen.model.played import Played
from companion.listen.model.words import listed, times_words
from companion.listen.take.twice import TakeRead, read_take
from companion.score.model import Tune

LEAST_COVERED = 0.6
"""Who played less than this share of a part's bars stumbled there, and did not choose to play the part then."""

LAST_COVERED = 0.3
"""The last time through a part, within which a take may end, counts from this share of its bars on."""

ANOTHER_ORDER = 7.0
"""By how much likelier a take must be with its parts in another order to be taken for that, as in `align.cost.costs`:
more than beginning a take at another bar costs, for who practises a later part by itself has not changed the order."""

LIKELIER = 3.0
"""What is enough in place of ANOTHER_ORDER where the parts that were played do not follow one another as written: each
was played nearly whole, and no stretch of the tune explains that."""

ANOTHER_PART = 12.0
"""A time through a part that cost more than this for each of its bars that was played, as a logarithm, may have been
another part: more than two slips in every bar."""

MOST_AMISS = 3
MOST_OTHERS = 6
"""At most MOST_AMISS strange times through a part are tried as another part, each as at most MOST_OTHERS of them: every
trial reads the take again."""

MOST_ROUNDS = 3
"""How often every time through a part is tried with another ending: what fits one may show only once another is
right."""

MOST_TIMES = 16
"""Of a take that goes through more parts than this, repeats counted, no other order is looked for: it would be read too
often."""


@dataclass(frozen=True, slots=True)
class TimeThrough:
    """Once through a part: the turns that this takes in `Tune.order`, and the index of the part in `Tune.parts`."""

    turns: range
    part: int


def times_through(tune: Tune) -> tuple[TimeThrough, ...]:
    """Every time through a part of a tune as it is written to be played, in order."""
    parts = [tune.part_of(bar) for bar in tune.order]
    starts = [
        turn
        for turn in range(len(parts))
        if not turn or parts[turn] != parts[turn - 1] or tune.order[turn] <= tune.order[turn - 1]
    ]
    stops = [*starts[1:], len(parts)]
    return tuple(TimeThrough(range(start, stop), parts[start]) for start, stop in zip(starts, stops, strict=True))


@dataclass(frozen=True, slots=True)
class Ordered:
    """A take as it was read with the parts of its tune in the order in which they were played.

    tune: with that order. played: each time through a part; None where they were played as written.
    """

    tune: Tune
    read: TakeRead
    played: tuple[TimeThrough, ...] | None = None


def read_in_order(tune: Tune, read: TakeRead, events: Sequence[Played]) -> Ordered:
    """Read a take of all of a tune again in the order in which its parts were played, if that explains it better."""
    written = times_through(tune)
    visits = _visited(read.asked, written, read.steps)
    visited = [each.through for each in visits]
    # A tune may be played again after its end.
    as_written = all(each.part == written[rank % len(written)].part for rank, each in enumerate(visited))
    whole = len(visited) % len(written) == 0
    amiss = [rank for rank, each in enumerate(visits) if each.cost > ANOTHER_PART * len(each.turns)]
    if read.asked.terms.stretch or (as_written and whole and not amiss) or not 1 < len(visited) <= MOST_TIMES:
        return Ordered(tune, read)
    best = Ordered(tune, read) if as_written else _ordered(tune, read, events, visited)
    for rank in amiss[:MOST_AMISS]:
        # What sounds strange all through may be another part, or the next one taken for a part more.
        others = [each for each in _once_each(written) if each.part != visited[rank].part][:MOST_OTHERS]
        for instead in ([], *([each] for each in others)):
            best = _better(best, tune, read, events, [*visited[:rank], *instead, *visited[rank + 1 :]])
    for _ in range(MOST_ROUNDS):
        before = best
        visited = list(best.played or visited)
        ranks = range(len(visited) - 1 if as_written else 0, len(visited))
        best = _with_endings(best, tune, read, events, visited, ranks)
        if best is before:
            break
    needed = ANOTHER_ORDER if best.played is None or _is_stretch(written, best.played) else LIKELIER
    return best if best.read.cost + needed < read.cost else Ordered(tune, read)


def _with_endings(
    best: Ordered,
    tune: Tune,
    read: TakeRead,
    events: Sequence[Played],
    visited: list[TimeThrough],
    ranks: Iterable[int],
) -> Ordered:
    """Return the take with the times through a part of these ranks, one after the other, as the one whose ending fits
    best."""
    for rank in ranks:
        for other in times_through(tune):
            if other.part == visited[rank].part and other != visited[rank]:
                best = _better(best, tune, read, events, [*visited[:rank], other, *visited[rank + 1 :]])
                visited = list(best.played or visited)
    return best


def _is_stretch(written: Sequence[TimeThrough], played: Sequence[TimeThrough]) -> bool:
    """Whether these are times through the parts that follow one another as written."""
    parts, all_parts = [each.part for each in played], [each.part for each in written]
    return any(parts == all_parts[first : first + len(parts)] for first in range(len(all_parts)))


def _better(
    best: Ordered, tune: Tune, read: TakeRead, events: Sequence[Played], played: Sequence[TimeThrough]
) -> Ordered:
    """Return the take as it is read in that order, if it is the likelier one."""
    if not played:
        return best
    tried = _ordered(tune, read, events, played)
    return tried if tried.read.cost < best.read.cost else best


def _once_each(written: Sequence[TimeThrough]) -> list[TimeThrough]:
    """The first time through each part."""
    return list({each.part: each for each in reversed(written)}.values())


def _ordered(tune: Tune, read: TakeRead, events: Sequence[Played], played: Sequence[TimeThrough]) -> Ordered:
    in_order = replace(tune, order=tuple(tune.order[turn] for each in played for turn in each.turns))
    asked = ask_for(in_order, read.asked.terms)
    return Ordered(in_order, read_take(asked, events), tuple(played))


@dataclass(slots=True)
class _Visit:
    through: TimeThrough
    turns: set[int] = field(default_factory=set)
    last: int = -1
    cost: float = 0.0

    @property
    def covered(self) -> float:
        return len(self.turns) / len(self.through.turns)


def _visited(asked: Asked, written: Sequence[TimeThrough], steps: Iterable[ReadStep]) -> list[_Visit]:
    """The times through a part that were played, in order; those that were only touched left out."""
    through_of = {turn: each for each in written for turn in each.turns}
    visits: list[_Visit] = []
    for step in steps:
        if step.reading is not Reading.MATCH:
            if visits:
                visits[-1].cost += step.cost
            continue
        turn = asked.played(asked.melody_of(step.tokens[0])).turn
        through = through_of[turn]
        begins_again = visits and turn < visits[-1].last and turn == through.turns.start
        if not visits or visits[-1].through is not through or (begins_again and visits[-1].covered >= LEAST_COVERED):
            visits.append(_Visit(through))
        visits[-1].turns.add(turn)
        visits[-1].last = turn
        visits[-1].cost += step.cost
    *before, last = visits or [_Visit(written[0])]
    kept = [each for each in before if each.covered >= LEAST_COVERED]
    return [*kept, *([last] if last.covered >= LAST_COVERED else [])]


# --- in words ---


def order_findings(tune: Tune, ordered: Ordered, places: Sequence[tuple[int, float]]) -> list[Finding]:
    """The one finding for parts that were not played as written; none where they were.

    places: the played notes of the tune in the order of `ordered`, with when they were heard, in s.
    """
    written, played = times_through(tune), ordered.played
    if played is None:
        return []
    asked = ordered.read.asked
    differs = next(
        (rank for rank, (one, two) in enumerate(zip(written, played, strict=False)) if one.part != two.part),
        min(len(written), len(played) - 1),
    )
    turn = sum(len(each.turns) for each in played[:differs])
    first = next(rank for rank, each in enumerate(asked.schedule.played) if each.turn >= turn)
    at_s = next((heard_s for index, heard_s in places if index >= first), places[-1][1] if places else 0.0)
    text = order_words(tune, written, played)
    return [finding_at(asked, first, FindingKind.ORDER, at_s=at_s, text=text, cause="order", throughout=True)]


def order_words(tune: Tune, written: Sequence[TimeThrough], played: Sequence[TimeThrough]) -> str:
    """What a teacher would say of the order in which the parts were played."""
    asked, heard = Counter(each.part for each in written), Counter(each.part for each in played)
    said = [_part_words(tune, part, heard[part], asked[part]) for part in sorted(asked) if heard[part] != asked[part]]
    if said:
        text = listed(said)
        return f"{text[0].upper()}{text[1:]}."
    return f"The parts were played in the order {_labels(tune, played)}; it is written {_labels(tune, written)}."


def _labels(tune: Tune, times: Sequence[TimeThrough]) -> str:
    return ", ".join(tune.parts[each.part].label for each in times)


def _part_words(tune: Tune, part: int, heard: int, asked: int) -> str:
    label = f"part {tune.parts[part].label}"
    if not heard:
        return f"{label} was left out"
    return f"{label} was played {times_words(heard)} where it is written {times_words(asked)}"
