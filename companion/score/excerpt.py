"""Cuts a stretch out of a tune: some of its bars, a part or a phrase, as a tune that plays no more than these.

The bars keep their numbers, and parts and phrases stay what they are; only the order of play is shorter. Of what is
played several times the stretch is played once.
"""

from __future__ import annotations

from dataclasses import replace

from companion.score.model import Part, Tune
from fingering.errors import UserError


def bars_of(tune: Tune, first: int, last: int) -> Tune:
    """The written bars of the numbers `first` to `last`, where they are first played in a row; endings that do not
    belong to one time through are left out.

    Raises UserError for a bar that is not played, and for bars that are never played in a row.
    """
    numbers = [tune.bars[index].number for index in tune.order]
    for wanted in (first, last):
        if wanted not in numbers:
            raise UserError(f"no bar {wanted} is played", f"choose {min(numbers)} to {max(numbers)}", tune.title)
    for begin, number in enumerate(numbers):
        end = _end_of_run(tune, begin, last)
        if number == first and numbers[end] == last:
            return replace(tune, order=tune.order[begin : end + 1])
    raise UserError(f"bars {first} to {last} are never played in a row", "choose fewer, or others", tune.title)


def _end_of_run(tune: Tune, begin: int, last: int) -> int:
    """The last turn of those from `begin` on whose bars follow one another and are numbered up to `last`."""
    end = begin
    while end + 1 < len(tune.order) and tune.order[end] < tune.order[end + 1]:
        if tune.bars[tune.order[end + 1]].number > last:
            break
        end += 1
    return end


def part_of(tune: Tune, label: str) -> Tune:
    """The part of that label ("1", "A"), once. Raises UserError where there is none, or it is not played."""
    part = _part(tune, label)
    return _between(tune, part.first, part.stop, f"part {label}")


def phrase_of(tune: Tune, label: str | None, number: int) -> Tune:
    """A phrase of the part of that label, counted from 1; `label` may be None where the tune has one part only.

    Raises UserError where there is none, or it is not played.
    """
    if label is None and len(tune.parts) > 1:
        labels = ", ".join(part.label for part in tune.parts)
        raise UserError(f"the tune has {len(tune.parts)} parts", f"say of which the phrase is: {labels}", tune.title)
    part = _part(tune, label) if label is not None else tune.parts[0]
    if not 1 <= number <= len(part.phrases):
        raise UserError(f"part {part.label} has no phrase {number}", f"choose 1 to {len(part.phrases)}", tune.title)
    phrase = part.phrases[number - 1]
    return _between(tune, phrase.first, phrase.stop, f"phrase {number} of part {part.label}")


def _part(tune: Tune, label: str) -> Part:
    found = next((part for part in tune.parts if part.label.lower() == label.lower()), None)
    if found is None:
        labels = ", ".join(part.label for part in tune.parts)
        raise UserError(f"there is no part {label}", f"choose one of {labels}", tune.title)
    return found


def _between(tune: Tune, first: int, stop: int, what: str) -> Tune:
    """The first run of turns whose bars have indices from `first` on, below `stop`. Raises UserError for none."""
    begin = next((turn for turn, index in enumerate(tune.order) if first <= index < stop), None)
    if begin is None:
        raise UserError(f"{what} is never played", "choose another", tune.title)
    end = _end_of_run(tune, begin, tune.bars[stop - 1].number)
    return replace(tune, order=tune.order[begin : end + 1])
