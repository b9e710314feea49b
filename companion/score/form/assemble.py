"""Builds a `Tune` from a heading and written bars: bar numbers, ties, parts and the order of playing."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from companion.score.form.bar_lengths import check_lengths, is_pick_up
from companion.score.form.da_capo import after_da_capo
from companion.score.form.heading import OpeningSettings, TuneHeading
from companion.score.form.jumps import Jump
from companion.score.form.problems import Problems
from companion.score.form.ticks import ticks_to_fraction
from companion.score.form.ties import join_ties
from companion.score.form.unfold import find_stretches, played_order
from companion.score.form.written import WrittenBar
from companion.score.model import FREE, PLAIN_SIGNS, Bar, BarSigns, Tune
from companion.score.parts import PartStart, divide


def assemble(
    heading: TuneHeading,
    opening: OpeningSettings,
    written: Sequence[WrittenBar],
    jumps: Sequence[Jump],
    problems: Problems,
    fits: int | None = None,
) -> Tune:
    """The tune of a heading and its written bars, of which there is at least one. fits: see `Tune`."""
    planned = bool(heading.plan)
    lengths = [bar.ticks for bar in written]
    stretches = find_stretches(written, problems, planned=planned)
    order = played_order(written, lengths, stretches, heading.plan, heading.plan_place or heading.place, problems)
    order = (*order, *after_da_capo(jumps, stretches, len(written), problems, planned=planned))
    first_number = 0 if is_pick_up(written) else 1
    check_lengths(written, lengths, order, opening.unit, heading.place, problems)
    join_ties(written, order, problems)
    bars = _bars(written, lengths, first_number, jumps)
    later_endings = frozenset(i for stretch in stretches for i in stretch.later_endings())
    return Tune(
        reference=heading.reference,
        title=heading.title,
        meter=opening.meter if opening.meter is not FREE else bars[0].meter,
        bars=bars,
        order=order,
        parts=divide(bars, _part_starts(written), later_endings),
        place=heading.place,
        rhythm=heading.rhythm,
        composer=heading.composer,
        key=opening.key,
        tempo=opening.tempo or bars[0].tempo,
        fields=tuple(heading.fields),
        fits=fits,
        plan=heading.plan,
    )


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
