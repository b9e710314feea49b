"""Builds a `Tune` from a header and written bars: bar numbers, ties, parts and the order of playing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from companion.score.abc.form.bar_lengths import check_lengths, full_ticks, is_pick_up
from companion.score.abc.form.da_capo import after_da_capo
from companion.score.abc.form.ties import join_ties
from companion.score.abc.form.unfold import find_stretches, played_order
from companion.score.abc.header.reader import Header
from companion.score.abc.header.settings import OpeningSettings
from companion.score.abc.music.bars import BarBuilder
from companion.score.abc.music.jumps import Jump
from companion.score.abc.music.lengths import ticks_to_fraction
from companion.score.abc.music.written import WrittenBar
from companion.score.abc.text.problems import Problems
from companion.score.model import FREE, PLAIN_SIGNS, Bar, BarSigns, Tune
from companion.score.parts import PartStart, divide
from companion.score.problems import ProblemKind


def assemble(
    header: Header, opening: OpeningSettings, built: BarBuilder, problems: Problems, fits: int | None = None
) -> Tune:
    """The tune of a header and its written bars, of which there is at least one.

    opening: the settings after the header. fits: see `Tune`.
    """
    written: Sequence[WrittenBar] = built.bars
    if not built.lines and len(written) == 1:
        written = _cut_into_bars(written[0], problems)
    lengths = [bar.ticks for bar in written]
    stretches = find_stretches(written, problems, planned=bool(header.plan))
    order = played_order(written, lengths, stretches, header.plan, header.plan_place or header.place, problems)
    order = (
        *order,
        *after_da_capo(built.jumps, stretches, len(written), problems, planned=bool(header.plan)),
    )
    first_number = 0 if is_pick_up(written) else 1
    check_lengths(written, lengths, order, opening.unit, header.place, problems)
    join_ties(written, order, problems)
    bars = _bars(written, lengths, first_number, built.jumps)
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
        fits=fits,
        plan=header.plan,
    )


def _cut_into_bars(whole: WrittenBar, problems: Problems) -> list[WrittenBar]:
    """Cut a tune without bar lines into bars of its metre. A bar is longer where a note lies across its end."""
    full = full_ticks(whole)
    if not full or whole.ticks <= full:
        return [whole]
    what = f"the tune has no bar lines, so it is cut into bars of {whole.meter.text}"
    problems.add(ProblemKind.NO_BAR_LINES, whole.place, what, "write the bar lines")
    bars = [replace(whole, notes=[], lengths=[], tied=[])]
    reached = 0
    for rank, (note, ticks) in enumerate(zip(whole.notes, whole.lengths, strict=True)):
        if reached >= full:
            bars.append(WrittenBar(whole.meter, whole.tempo, note.place))
            reached = 0
        if rank in whole.tied:
            bars[-1].tied.append(len(bars[-1].notes))
        bars[-1].add(note, ticks)
        reached += ticks
    return bars


def _bars(
    written: Sequence[WrittenBar], lengths: Sequence[int], first_number: int, jumps: Sequence[Jump]
) -> tuple[Bar, ...]:
    jumps_after: dict[int, tuple[str, ...]] = {}
    for jump in jumps:
        jumps_after[jump.bar] = (*jumps_after.get(jump.bar, ()), jump.name)
    bars: list[Bar] = []
    number = first_number
    for i, (bar, ticks) in enumerate(zip(written, lengths, strict=True)):
        length = ticks_to_fraction(ticks)
        signs = _signs(bar, jumps_after.get(i, ()))
        bars.append(Bar(number, tuple(bar.notes), bar.meter, length, bar.place, bar.tempo, bar.ends_phrase, signs))
        number += bar.counts_for
    return tuple(bars)


def _signs(bar: WrittenBar, jumps: tuple[str, ...]) -> BarSigns:
    """What stands at the ends of a bar; most bars have nothing there, and share one value."""
    signed = bar.label is not None or bar.opens or bar.ending or bar.closes or bar.double or bar.ends_ending
    if not signed and not jumps and bar.counts_for == 1:
        return PLAIN_SIGNS
    return BarSigns(bar.label, bar.opens, bar.ending, bar.closes, bar.double, bar.ends_ending, jumps, bar.counts_for)


def _part_starts(written: Sequence[WrittenBar]) -> tuple[PartStart, ...]:
    """Where parts begin: at the P: labels in the body, else at double bars and at the ends and starts of repeats."""
    labelled = tuple(PartStart(i, bar.label) for i, bar in enumerate(written) if bar.label is not None)
    if labelled:
        return labelled
    cuts = [
        i
        for i, (before, bar) in enumerate(pairwise(written), start=1)
        if (before.double or before.closes or bar.opens) and not bar.ending
    ]
    return tuple(PartStart(i) for i in cuts)
