"""Finds where bars of a tune are played: the turns of its performance, and the stretch of notes in them."""

from __future__ import annotations

from companion.schedule.stretch import Stretch
from companion.score.model import Tune
from companion.score.performance import performance


def bar_of_number(tune: Tune, number: int) -> int | None:
    """The index of the first bar of that number; None where the tune has none."""
    return next((index for index, bar in enumerate(tune.bars) if bar.number == number), None)


def once_through(tune: Tune, first: int, last: int) -> range | None:
    """The turns of the first time that the bars from index `first` to index `last` are played, each after earlier ones.

    So from a bar to a second ending it is the second time, without the first ending. None where they never are.
    """
    for begin, bar in enumerate(tune.order):
        if bar != first:
            continue
        end = begin
        while tune.order[end] != last and end + 1 < len(tune.order) and tune.order[end] < tune.order[end + 1] <= last:
            end += 1
        if tune.order[end] == last:
            return range(begin, end + 1)
    return None


def with_repeats(tune: Tune, first: int, last: int) -> range | None:
    """The turns from the first of a stretch in which nothing but the bars `first` to `last` is played, repeats and all.

    None where they are never all within one.
    """
    begin: int | None = None
    for turn, bar in enumerate((*tune.order, -1)):
        if first <= bar <= last:
            begin = turn if begin is None else begin
        elif begin is not None:
            if {first, last} <= set(tune.order[begin:turn]):
                return range(begin, turn)
            begin = None
    return None


def ways_through(tune: Tune, first: int, stop: int) -> tuple[range, ...]:
    """The turns of each different way in which bars first to stop - 1 are played, the usual one first: one for each
    ending. What is only a piece of an earlier way, as a repeat without the pick-up, is none of its own."""
    found: list[range] = []
    begin: int | None = None
    for turn, bar in enumerate((*tune.order, -1)):
        if begin is not None and not (first <= bar < stop and bar > tune.order[turn - 1]):
            way = tune.order[begin:turn]
            if not any(_holds(tune.order[each.start : each.stop], way) for each in found):
                found.append(range(begin, turn))
            begin = None
        if begin is None and first <= bar < stop:
            begin = turn
    return tuple(found)


def _holds(bars: tuple[int, ...], piece: tuple[int, ...]) -> bool:
    return any(bars[start : start + len(piece)] == piece for start in range(len(bars) - len(piece) + 1))


def stretch_of_turns(tune: Tune, turns: range) -> Stretch | None:
    """The notes of some turns; None for all notes of the tune. Raises ValueError where nothing sounds in them."""
    inside = [(rank, each.note.note) for rank, each in enumerate(performance(tune)) if each.turn in turns]
    if all(note is None for _, note in inside):
        raise ValueError("no note is played there")
    ranks = [rank for rank, _ in inside]
    return None if len(turns) == len(tune.order) else Stretch(ranks[0], ranks[-1] + 1)


def numbers_of(tune: Tune, turns: range) -> tuple[int, int]:
    """The numbers of the first and last bar of some turns, as they are written."""
    bars = sorted(tune.order[turn] for turn in turns)
    return tune.bars[bars[0]].number, tune.bars[bars[-1]].number
