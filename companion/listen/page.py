"""A take as a page that a learner can send to a teacher: lanes and list, no scripts, nothing fetched, prints well."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from companion.listen.judgement import Judgement
from companion.listen.page_lanes import systems_of
from companion.listen.report import clock_words, share_words, times_words
from companion.listen.verdict import Matter

PAPER, INK, PLAYED, FAULT, GUIDE = "#f5f2ea", "#20242b", "#0072b2", "#b84a00", "#00785a"

_STYLE = f"""
:root {{ color-scheme: light; }}
body {{ background: {PAPER}; color: {INK}; font: 1.05rem/1.5 Georgia, "Times New Roman", serif; margin: 2rem auto;
  max-width: 64rem; padding: 0 1rem; }}
h1 {{ font-size: 1.7rem; margin: 0 0 .2rem; }} h2 {{ font-size: 1.25rem; margin: 2rem 0 .4rem; }}
table {{ border-collapse: collapse; }} th, td {{ text-align: left; padding: .1rem 1.2rem .1rem 0; }}
th {{ font-weight: normal; }} td {{ font-variant-numeric: tabular-nums; }}
ol, ul {{ margin: .3rem 0; padding-left: 2rem; }} li {{ margin: .35rem 0; }}
.drill {{ display: block; border-left: 3px solid {GUIDE}; padding-left: .7rem; margin-top: .2rem; }}
figure {{ margin: 1rem 0; break-inside: avoid; }} svg {{ width: 100%; height: auto; display: block; }}
.asked {{ fill: none; stroke: {INK}; stroke-width: .8; }} .played {{ fill: {PLAYED}; }}
.lane {{ stroke: {INK}; stroke-opacity: .25; stroke-width: .5; }} .beat {{ stroke: {INK}; stroke-width: .8; }}
.fault {{ fill: {FAULT}; }} .number {{ fill: {FAULT}; font: bold 11px Georgia, serif; }}
.word {{ fill: {INK}; font: 11px Georgia, serif; }}
a {{ color: {PLAYED}; }} a:focus-visible {{ outline: 3px solid {INK}; outline-offset: 2px; }}
@media print {{ body {{ margin: 0; max-width: none; font-size: 10.5pt; }} a {{ text-decoration: none; }} }}
"""


def page_of(takes: Sequence[tuple[str, Judgement]]) -> str:
    """The page for one take or several, each by its name."""
    title = takes[0][1].verdict.title or "A take"
    body = "\n".join(_section(rank, name, judgement) for rank, (name, judgement) in enumerate(takes, start=1))
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)}: what was played</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n<main>\n"
        f"{body}\n</main>\n</body>\n</html>\n"
    )


def _section(rank: int, name: str, judgement: Judgement) -> str:
    verdict = judgement.verdict
    parts = [
        f"<section>\n<h1>{escape(verdict.title)}</h1>\n<p>{escape(name)}, strictness {judgement.strictness.value}</p>",
        _numbers(judgement),
        f"<h2>What went well</h2>\n{_list(verdict.went_well)}",
    ]
    if verdict.first:
        items = "".join(_matter(matter) for matter in verdict.first)
        parts.append(f"<h2>What to mend first</h2>\n<ol>{items}</ol>")
    if verdict.not_judged:
        parts.append(f"<h2>Not judged</h2>\n{_list(verdict.not_judged)}")
    parts += [_lanes(rank, judgement), _findings(rank, judgement), "</section>"]
    return "\n".join(parts)


def _numbers(judgement: Judgement) -> str:
    verdict = judgement.verdict
    rows = []
    if verdict.pace is not None:
        pace = verdict.pace
        rows.append(("Tempo", f"{pace.qpm:.0f} crotchets a minute, {pace.slowest_qpm:.0f} to {pace.fastest_qpm:.0f}"))
    shares = (
        ("Melody notes", verdict.notes),
        ("Gracenotes", verdict.gracenotes),
        ("Clean movements", verdict.movements),
    )
    rows += [(name, share_words(share)) for name, share in shares if share.of]
    cells = "".join(f'<tr><th scope="row">{name}</th><td>{words}</td></tr>' for name, words in rows)
    return f"<table>{cells}</table>"


def _list(lines: Sequence[str]) -> str:
    return f"<ul>{''.join(f'<li>{escape(line)}</li>' for line in lines)}</ul>"


def _matter(matter: Matter) -> str:
    often = f" ({times_words(matter.count)})" if matter.count > 1 else ""
    text, drill = escape(matter.findings[0].text), escape(matter.drill.text)
    return f'<li>{text}{often}<span class="drill">{drill}</span></li>'


def _lanes(rank: int, judgement: Judgement) -> str:
    intro = (
        "<h2>Finger by finger</h2>\n<p>One line for each hole, the thumb's on top; a bar is a closed hole. Outlined is "
        "what was asked, filled is what was played. A triangle with its number marks a finding of the list below.</p>"
    )
    figures = "\n".join(f"<figure>{svg}</figure>" for svg in systems_of(judgement, rank))
    return f"{intro}\n{figures}"


def _findings(rank: int, judgement: Judgement) -> str:
    if not judgement.findings:
        return "<h2>Everything heard</h2>\n<p>Nothing to find fault with at this strictness.</p>"
    items = "".join(
        f'<li id="t{rank}f{number}"><span>{clock_words(finding.at_s)}</span> {escape(finding.text)}</li>'
        for number, finding in enumerate(judgement.findings, start=1)
    )
    return f"<h2>Everything heard</h2>\n<ol>{items}</ol>"
