"""A verdict as text for people: one take at length, several as a table."""

from __future__ import annotations

from collections.abc import Sequence

from companion.listen.judgement import Judgement
from companion.listen.verdict import Matter, Share

WIDTH = 100


def verdict_text(judgement: Judgement) -> str:
    """The verdict on one take, in the order in which a teacher would say it."""
    verdict = judgement.verdict
    lines = [verdict.title, ""]
    lines += [*_tempo_lines(judgement), *(f"  {line}" for line in _share_lines(judgement)), ""]
    lines += ["What went well", *(f"  {line}" for line in verdict.went_well), ""]
    if verdict.first:
        lines.append("What to mend first")
        for rank, matter in enumerate(verdict.first, start=1):
            lines += _matter_lines(rank, matter)
        lines.append("")
    if verdict.not_judged:
        lines += ["Not judged", *(f"  {line}" for line in verdict.not_judged), ""]
    if judgement.findings:
        lines += [f"Everything heard ({len(judgement.findings)})", *_finding_lines(judgement)]
    else:
        lines.append("Nothing to find fault with at this strictness.")
    return "\n".join(lines)


def _tempo_lines(judgement: Judgement) -> list[str]:
    pace = judgement.verdict.pace
    if pace is None:
        return ["  Tempo: too few notes to tell"]
    return [
        f"  Tempo: {pace.qpm:.0f} crotchets a minute, between {pace.slowest_qpm:.0f} and {pace.fastest_qpm:.0f}",
    ]


def _share_lines(judgement: Judgement) -> list[str]:
    verdict = judgement.verdict
    named = (
        ("Melody notes", verdict.notes),
        ("Gracenotes", verdict.gracenotes),
        ("Clean movements", verdict.movements),
    )
    return [f"{name}: {share_words(share)}" for name, share in named if share.of]


def share_words(share: Share) -> str:
    """ "120 of 128 (94 %)"."""
    return f"{share.right} of {share.of} ({100.0 * share.share:.0f} %)"


def times_words(count: int) -> str:
    """ "once", "twice", "5 times"."""
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def _matter_lines(rank: int, matter: Matter) -> list[str]:
    bars = sorted({finding.bar for finding in matter.findings})
    more = f" ({times_words(matter.count)}, bars {', '.join(map(str, bars))})" if matter.count > 1 else ""
    return [f"  {rank}. {matter.findings[0].text}{more}", f"     {matter.drill.text}"]


def _finding_lines(judgement: Judgement) -> list[str]:
    return [f"  {clock_words(finding.at_s)}  {finding.text}" for finding in judgement.findings]


def clock_words(at_s: float) -> str:
    """Minutes, seconds and hundredths: "1:05.20"."""
    hundredths = round(at_s * 100.0)
    return f"{hundredths // 6000}:{hundredths // 100 % 60:02d}.{hundredths % 100:02d}"


def table_text(rows: Sequence[tuple[str, Judgement]]) -> str:
    """Several takes, a line each."""
    name_width = max(4, *(len(name) for name, _ in rows))
    lines = [f"{'take':<{name_width}}  tempo  notes  gracenotes  movements  findings  first"]
    for name, judgement in rows:
        verdict = judgement.verdict
        tempo = f"{verdict.pace.qpm:.0f}" if verdict.pace else "-"
        shares = [f"{100.0 * share.share:.0f} %" for share in (verdict.notes, verdict.gracenotes, verdict.movements)]
        first = f"{verdict.first[0].kind.value}, {times_words(verdict.first[0].count)}" if verdict.first else "-"
        lines.append(
            f"{name:<{name_width}}  {tempo:>5}  {shares[0]:>5}  {shares[1]:>10}  {shares[2]:>9}"
            f"  {len(judgement.findings):>8}  {first}"
        )
    return "\n".join(lines)
