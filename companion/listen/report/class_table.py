"""Several takes as one table, those that were refused with the reason in their place: for the terminal and the page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from companion.listen.judgement import Judgement
from companion.listen.verdict.shares import named_shares
from fingering.errors import UserError


@dataclass(frozen=True, slots=True)
class Result:
    """A take by its name: its judgement, or why there is none."""

    name: str
    judgement: Judgement | None
    refusal: UserError | None = None

    @property
    def reason(self) -> str:
        """Why it was not judged, and what to do."""
        return f"{self.refusal.what}; {self.refusal.remedy}" if self.refusal else ""


COLUMNS = ("tempo", "notes", "gracenotes", "movements", "findings", "to mend first")
"""What stands beside a take's name."""


def cells(judgement: Judgement) -> tuple[str, ...]:
    """What stands in COLUMNS for one take: the tempo in the tune's beats, shares with their counts."""
    verdict = judgement.verdict
    pace = verdict.pace
    tempo = f"{pace.in_beats(pace.qpm):.0f}" if pace else "-"
    shares = (f"{share.right} of {share.of}" if share.of else "-" for _, share in named_shares(verdict))
    first = verdict.first[0].text if verdict.first else "nothing"
    return tempo, *shares, str(len(judgement.findings)), first


def table_text(results: Sequence[Result]) -> str:
    """The table as text, a line for each take."""
    told = {each.name: cells(each.judgement) for each in results if each.judgement}
    name_width = max(len(name) for name in ("take", *(each.name for each in results)))
    widths = [max(map(len, column)) for column in zip(COLUMNS[:-1], *(row[:-1] for row in told.values()), strict=True)]

    def line(name: str, row: Sequence[str]) -> str:
        numbers = (f"{cell:>{width}}" for cell, width in zip(row, widths, strict=False))
        return "  ".join((f"{name:<{name_width}}", *numbers, row[-1]))

    lines = [line("take", COLUMNS)]
    for each in results:
        judged = told.get(each.name)
        lines.append(line(each.name, judged) if judged else f"{each.name:<{name_width}}  {each.reason}")
    return "\n".join(lines)
