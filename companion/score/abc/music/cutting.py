"""Cuts a tune without bar lines into bars."""

from __future__ import annotations

from dataclasses import replace

from companion.score.form.bar_lengths import full_ticks
from companion.score.form.problems import Problems
from companion.score.form.written import WrittenBar
from companion.score.problems import ProblemKind


def cut_into_bars(whole: WrittenBar, problems: Problems) -> list[WrittenBar]:
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
