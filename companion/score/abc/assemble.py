"""Makes a tune of written bars: bar numbers, ties, parts and the order of playing."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from companion.score.abc.bar_lengths import check_lengths, is_pick_up
from companion.score.abc.header import Header
from companion.score.abc.lengths import ticks_to_fraction
from companion.score.abc.problems import Problems
from companion.score.abc.settings import Settings
from companion.score.abc.ties import join_ties
from companion.score.abc.unfold import find_stretches, played_order
from companion.score.abc.written import WrittenBar, WrittenNote
from companion.score.model import FREE, Bar, MelodyNote, Tune, melody_note_of
from companion.score.parts import PartStart, divide


def assemble(header: Header, opening: Settings, written: Sequence[WrittenBar], problems: Problems) -> Tune:
    """The tune of a header and at least one written bar; `opening` is what the header set."""
    stretches = find_stretches(written, problems, planned=bool(header.plan))
    order = played_order(stretches, header.plan, header.plan_place or header.place, problems)
    first_number = 0 if is_pick_up(written) else 1
    lengths = [bar.ticks for bar in written]
    check_lengths(written, lengths, order, problems)
    join_ties(written, order, problems)
    bars = _bars(written, lengths, first_number)
    later_endings = frozenset(i for stretch in stretches for i in stretch.later_endings())
    return Tune(
        reference=header.reference,
        title=header.title,
        meter=opening.meter if opening.meter is not FREE else bars[0].meter,
        bars=bars,
        order=order,
        parts=divide(bars, _part_starts(written), later_endings),
        place=header.place,
        rhythm=header.rhythm,
        composer=header.composer,
        key=opening.key.text,
        tempo=opening.tempo or bars[0].tempo,
        fields=tuple(header.fields),
    )


def _bars(written: Sequence[WrittenBar], lengths: Sequence[int], first_number: int) -> tuple[Bar, ...]:
    bars: list[Bar] = []
    index = 0
    for number, (bar, ticks) in enumerate(zip(written, lengths, strict=True), start=first_number):
        notes = tuple([_note(rank, note) for rank, note in enumerate(bar.notes, start=index)])
        index += len(notes)
        length = ticks_to_fraction(ticks)
        bars.append(Bar(number, notes, bar.meter, length, bar.place, bar.tempo, bar.ends_phrase))
    return tuple(bars)


def _note(rank: int, note: WrittenNote) -> MelodyNote:
    return melody_note_of(
        (
            rank,
            note.note,
            ticks_to_fraction(note.ticks),
            note.gracenotes,
            note.place,
            note.chord,
            note.annotations,
            note.decorations,
            note.acciaccatura,
        )
    )


def _part_starts(written: Sequence[WrittenBar]) -> tuple[PartStart, ...]:
    """Where parts begin: at the labels of P: in the body, else at double bars, ends and starts of repeats."""
    labelled = tuple(PartStart(i, bar.label) for i, bar in enumerate(written) if bar.label is not None)
    if labelled:
        return labelled
    cuts = [
        i
        for i, (before, bar) in enumerate(pairwise(written), start=1)
        if (before.double or before.closes or bar.opens) and not bar.ending
    ]
    return tuple(PartStart(i) for i in cuts)
