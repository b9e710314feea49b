"""A verdict as text for people."""

from __future__ import annotations

from textwrap import wrap

from companion.listen.judgement import Judgement
from companion.listen.model.words import beat_words
from companion.listen.rhythm.pace import pace_words
from companion.listen.verdict.shares import named_shares
from companion.listen.verdict.verdict import Matter, Share
from companion.schedule.pace import tempo_of
from companion.score.setting import setting_words

WIDTH = 100
"""Letters in a line, so that it can be read on a terminal and in a letter."""


def verdict_text(judgement: Judgement) -> str:
    """The verdict on one take, in the order in which a teacher would say it."""
    verdict = judgement.verdict
    lines = [verdict.title, ""]
    lines += [*_tempo_lines(judgement), *(f"  {line}" for line in _share_lines(judgement)), ""]
    if verdict.went_well:
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
    elif verdict.notes.of:
        what = "No single note" if verdict.matters else "Nothing"
        lines.append(f"{what} to find fault with at this strictness.")
    return "\n".join(lines)


def _tempo_lines(judgement: Judgement) -> list[str]:
    pace = judgement.verdict.pace
    return [
        f"  Tempo: {pace_words(pace)}" if pace else "  Tempo: too few notes to tell",
        f"  Judged: {judgement.strictness.value} strictness, {_measure_words(judgement)}",
        *([f"  Setting: {own_setting_words(judgement)}"] if judgement.setting else []),
    ]


def own_setting_words(judgement: Judgement) -> str:
    """In which setting a take was judged: "your own: B for C in bar 3"."""
    return f"your own: {setting_words(judgement.tune, judgement.setting)}"


def _measure_words(judgement: Judgement) -> str:
    """What the time was judged by: "by your own pulse; asked for at 60 crotchets a minute"."""
    own, terms = tempo_of(judgement.tune), judgement.asked.terms
    if terms.metronome_bpm is not None:
        return f"by a metronome at {terms.metronome_bpm:g} {beat_words(own.beat)} a minute"
    asked_bpm = own.beats_per_minute / terms.times_slower
    return f"by your own pulse; asked for at {asked_bpm:.0f} {beat_words(own.beat)} a minute"


def _share_lines(judgement: Judgement) -> list[str]:
    return [f"{name}: {share_words(share)}" for name, share in named_shares(judgement.verdict) if share.of]


def share_words(share: Share) -> str:
    """ "120 of 128 (93 %)"; rounded down, so that only all of them are 100 %."""
    return f"{share.right} of {share.of} ({100 * share.right // max(1, share.of)} %)"


def _matter_lines(rank: int, matter: Matter) -> list[str]:
    heard = wrap(matter.text, WIDTH, initial_indent=f"  {rank}. ", subsequent_indent=" " * 5)
    return [*heard, *wrap(matter.drill.text, WIDTH, initial_indent=" " * 5, subsequent_indent=" " * 5)]


def _finding_lines(judgement: Judgement) -> list[str]:
    return [f"  {clock_words(finding.at_s)}  {finding.text}" for finding in judgement.findings]


def clock_words(at_s: float) -> str:
    """Minutes, seconds and hundredths: "1:05.20"."""
    hundredths = round(at_s * 100.0)
    return f"{hundredths // 6000}:{hundredths // 100 % 60:02d}.{hundredths % 100:02d}"
