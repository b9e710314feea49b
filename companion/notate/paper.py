"""Writes a folded take as a tune: bars, repeats, endings, parts and their order."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from string import ascii_uppercase

from companion.notate.form.folding import FoldedPart, FoldedTake, WrittenStretch
from companion.notate.form.metre import FoundMetre
from companion.notate.pulse.counted import CountedNote
from companion.score.form.assemble import assemble
from companion.score.form.heading import OpeningSettings, TuneHeading
from companion.score.form.problems import Problems
from companion.score.form.ticks import fraction_to_ticks
from companion.score.form.written import WrittenBar
from companion.score.model import Field, MelodyNote, Tempo, Tune
from companion.score.place import Place
from fingering.notes import Note

SOURCE = "<written down>"
PLACE = Place(SOURCE, 1, 1)
"""Where the notes of a tune that was written down stand: in no file yet."""

_MOST_LABELS = len(ascii_uppercase)


@dataclass(frozen=True, slots=True)
class WrittenHeading:
    """What a tune is headed with: its title, tempo, and N: fields."""

    title: str
    tempo: Tempo | None
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Origin:
    """What a written note was made of: a note of a stretch."""

    stretch: WrittenStretch
    note: CountedNote


@dataclass(frozen=True, slots=True)
class WrittenTune:
    """A tune, and what each of its notes was made of: None for a rest."""

    tune: Tune
    origins: tuple[Origin | None, ...]


def tune_of(folded: FoldedTake, metre: FoundMetre, head: WrittenHeading) -> WrittenTune:
    """Return the tune that a folded take is."""
    writer = _Writer(folded, metre, head.tempo)
    bars = list(writer.bars())
    fields = [Field("N", remark, PLACE) for remark in head.remarks]
    plan = _plan(folded) if folded.is_planned and len(folded.parts) <= _MOST_LABELS else ""
    heading = TuneHeading(PLACE, reference="1", title=head.title, plan=plan, fields=fields)
    tune = assemble(heading, OpeningSettings(metre.meter, "HP", head.tempo), bars, (), Problems(SOURCE))
    origins = tuple(writer.origins)
    return WrittenTune(tune, origins if len(origins) == len(tune.notes) else (None,) * len(tune.notes))


def _plan(folded: FoldedTake) -> str:
    return "".join(ascii_uppercase[rank] * (1 if folded.parts[rank].endings else plays) for rank, plays in folded.order)


class _Writer:
    def __init__(self, folded: FoldedTake, metre: FoundMetre, tempo: Tempo | None) -> None:
        self._folded, self._metre, self._tempo = folded, metre, tempo
        self._rank = 0
        self.origins: list[Origin | None] = []

    def bars(self) -> Iterator[WrittenBar]:
        """Yield the bars of all parts."""
        for rank, part in enumerate(self._folded.parts):
            bars = list(self._part(part))
            if 1 < len(self._folded.parts) <= _MOST_LABELS:
                bars[0].label = ascii_uppercase[rank]
            bars[-1].double = bars[-1].double or not bars[-1].closes
            yield from bars

    def _part(self, part: FoldedPart) -> Iterator[WrittenBar]:
        repeats = part.plays > 1 and (bool(part.endings) or not self._folded.is_planned)
        body = self._stretch(part.body, self._metre.pick_up)
        if repeats:
            body[0].opens = part.plays
        endings = [self._stretch(each, 0) for each in part.endings]
        if repeats and not endings:
            body[-1].closes = part.plays
        for number, bars in enumerate(endings, start=1):
            bars[0].ending = (number,)
            if number < len(endings):
                bars[-1].closes = 2
            else:
                bars[-1].double = True
        yield from body
        for bars in endings:
            yield from bars

    def _stretch(self, stretch: WrittenStretch, pick_up: int) -> list[WrittenBar]:
        """The bars of a stretch, the first of them so many ticks long if it is a pick-up."""
        full = self._metre.bar_ticks
        edges = sorted({0, stretch.ticks, *range(pick_up, stretch.ticks, full)})
        return [self._bar(stretch, start, stop) for start, stop in pairwise(edges)]

    def _bar(self, stretch: WrittenStretch, start: int, stop: int) -> WrittenBar:
        bar = WrittenBar(self._metre.meter, self._tempo, PLACE)
        at = start
        for each in stretch.notes:
            first, last = max(each.start, start), min(each.end, stop)
            if last <= first:
                continue
            if first > at:
                self._add(bar, None, first - at)
                self.origins.append(None)
            if each.end > stop:
                bar.tied.append(len(bar.notes))
            begins = each.start >= start
            self._add(bar, each.note, last - first, each.graces if begins else ())
            if begins:
                self.origins.append(Origin(stretch, each))
            at = last
        if at < stop:
            self._add(bar, None, stop - at)
            self.origins.append(None)
        return bar

    def _add(self, bar: WrittenBar, note: Note | None, ticks: int, graces: tuple[Note, ...] = ()) -> None:
        length = self._metre.length(ticks)
        bar.add(MelodyNote(self._rank, note, length, graces, PLACE), fraction_to_ticks(length))
        self._rank += 1
