"""Several takes as one table, those that were refused with the reason in their place: for the terminal and the page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from companion.listen.judgement import Judgement
from companion.listen.report import times_words
from companion.listen.shares import named_shares
from companion.listen.verdict import Matter
from fingering.errors import UserError
from fingering.notes import Note


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
    """What stands in COLUMNS for one take; shares with their counts."""
    verdict = judgement.verdict
    tempo = f"{verdict.pace.qpm:.0f}" if verdict.pace else "-"
    shares = (f"{share.right} of {share.of}" if share.of else "-" for _, share in named_shares(verdict))
    first = matter_name(verdict.first[0]) if verdict.first else "-"
    return tempo, *shares, str(len(judgement.findings)), first


def matter_name(matter: Matter) -> str:
    """Which matter it is, in a few words, and how often: "crossing from C to E (twice)"."""
    one = matter.findings[0]
    what = f"{one.kind.value.replace('-', ' ')}, {one.place}"
    if one.crossing is not None:
        before, after = (Note.from_letter(letter).label for letter in (one.crossing.before, one.crossing.after))
        what = f"crossing from {before} to {after}"
    return f"{what} ({times_words(matter.count)})"


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
