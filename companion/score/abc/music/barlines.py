"""Reads bar lines in all the ways that people write them (ABC 2.1 sections 4.8 to 4.10)."""

from __future__ import annotations

from companion.score.abc.text.remembering import remembered
from companion.score.form.bar_builder import BarLine


@remembered
def read_bar_line(text: str) -> BarLine:
    """What a run of ``|``, ``]``, ``[`` and ``:`` means, with the digits that may follow it."""
    run = text.rstrip("0123456789,-.) \t").lstrip(".")
    ending = text.strip().lstrip(".")[len(run) :].rstrip(".)")
    before = len(run) - len(run.lstrip(":"))
    if before == len(run):  # `::` stands for `:||:`; a lone colon for a repeat that lacks its line
        half = before // 2 or 1
        return BarLine(half + 1, half + 1 if before > 1 else 0, double=True, ends_ending=True, line=True, ending=ending)
    after = len(run) - len(run.rstrip(":"))
    middle = run[before : len(run) - after]
    colons = middle.count(":")
    lines = middle.replace(":", "")
    if colons and not before and not after:  # `|::|` ends one repeat and begins another
        before = after = max(1, colons // 2)
    return BarLine(
        closes=before + 1 if before else 0,
        opens=after + 1 if after else 0,
        double=lines not in ("|", "]") or bool(colons),
        ends_ending="]" in lines,
        line="|" in lines or before > 0 or after > 0 or len(lines) > 1,
        ending=ending,
    )
