"""Takes as a page that a learner can send to a teacher: lanes and lists, no scripts, nothing fetched, prints well."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape

from companion.listen.judgement import Judgement
from companion.listen.model.played import Fingered
from companion.listen.report.class_table import COLUMNS, Result, cells
from companion.listen.report.page_lanes import picture_of
from companion.listen.report.page_lines import PageLine, TakeLanes, lines_of
from companion.listen.report.page_style import Palette, style_sheet
from companion.listen.report.text import clock_words, share_words
from companion.listen.rhythm.pace import pace_words
from companion.listen.verdict.shares import named_shares
from companion.listen.verdict.verdict import Matter


def page_of(results: Sequence[Result], palette: Palette) -> str:
    """The page for one take or several, of one tune, at least one of them judged."""
    title = next(each.judgement.verdict.title for each in results if each.judgement) or "A take"
    body = "\n".join(_body(title, results))
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)}: what was played</title>\n<style>{style_sheet(palette)}</style>\n</head>\n"
        f"<body>\n<main>\n{body}\n</main>\n</body>\n</html>\n"
    )


def _body(title: str, results: Sequence[Result]) -> Iterator[str]:
    yield f"<h1>{escape(title)}</h1>"
    if len(results) > 1:
        yield _table(results)
    for rank, each in enumerate(results, start=1):
        if each.judgement:
            yield _section(rank, each.name, each.judgement)


def _table(results: Sequence[Result]) -> str:
    """All takes at a glance, each leading to its own section; refused ones with the reason."""
    head = "".join(f'<th scope="col">{name}</th>' for name in ("take", *COLUMNS))
    rows = []
    for rank, each in enumerate(results, start=1):
        take = escape(each.name)
        if each.judgement:
            named = zip(COLUMNS, cells(each.judgement), strict=True)
            row = "".join(f'<td data-name="{name}">{escape(cell)}</td>' for name, cell in named)
            rows.append(f'<tr><th scope="row"><a href="#t{rank}">{take}</a></th>{row}</tr>')
        else:
            reason = f'<td colspan="{len(COLUMNS)}">{escape(each.reason)}</td>'
            rows.append(f'<tr><th scope="row">{take}</th>{reason}</tr>')
    table = f"<table><thead><tr>{head}</tr></thead><tbody>{''.join(rows)}</tbody></table>"
    return f'<nav aria-label="All takes">{table}</nav>'


def _section(rank: int, name: str, judgement: Judgement) -> str:
    verdict = judgement.verdict
    lanes = TakeLanes.of(judgement)
    lines = list(lines_of(judgement, lanes))
    parts = [
        f'<section id="t{rank}">\n<h2>{escape(name)}</h2>\n<p>Strictness: {judgement.strictness.value}.</p>',
        _numbers(judgement),
        f"<h3>What went well</h3>\n{_list(verdict.went_well)}",
    ]
    if verdict.first:
        items = "".join(map(_matter, verdict.first))
        parts.append(f"<h3>What to mend first</h3>\n<ol>{items}</ol>")
    if verdict.not_judged:
        parts.append(f"<h3>Not judged</h3>\n{_list(verdict.not_judged)}")
    parts += [_findings(rank, judgement, lines), _lanes(rank, judgement, lanes, lines), "</section>"]
    return "\n".join(parts)


def _numbers(judgement: Judgement) -> str:
    verdict = judgement.verdict
    rows = []
    if verdict.pace is not None:
        rows.append(("Tempo", pace_words(verdict.pace)))
    rows += [(name, share_words(share)) for name, share in named_shares(verdict) if share.of]
    lines = "".join(f'<tr><th scope="row">{name}</th><td>{words}</td></tr>' for name, words in rows)
    return f"<table>{lines}</table>"


def _list(lines: Sequence[str]) -> str:
    return f"<ul>{''.join(f'<li>{escape(line)}</li>' for line in lines)}</ul>"


def _matter(matter: Matter) -> str:
    return f'<li>{escape(matter.text)}<span class="drill">{escape(matter.drill.text)}</span></li>'


def _findings(rank: int, judgement: Judgement, lines: Sequence[PageLine]) -> str:
    if not judgement.findings:
        return "<h3>Everything heard</h3>\n<p>Nothing to find fault with at this strictness.</p>"
    items = []
    for place, line in enumerate(lines, start=1):
        for number in line.findings:
            finding = judgement.findings[number]
            when = f'<a href="#t{rank}l{place}">{clock_words(finding.at_s)}</a>'
            items.append(f'<li id="t{rank}f{number + 1}">{when} {escape(finding.text)}</li>')
    return f"<h3>Everything heard</h3>\n<ol>{''.join(items)}</ol>"


_KEY = (
    "<p>A line for each hole, the thumb's on top, then the upper hand, then the lower; a bar is a closed hole."
    '<svg class="key" viewBox="0 0 72 14" role="img" aria-label="an outlined bar">'
    '<rect class="asked" x="1" y="1.5" width="70" height="11"/></svg>what was asked'
    '<svg class="key" viewBox="0 0 72 14" role="img" aria-label="a filled bar">'
    '<rect class="played" x="1" y="4" width="70" height="6"/></svg>what was played'
    '<svg class="key" viewBox="0 0 72 14" role="img" aria-label="a triangle with a number, and a frame">'
    '<path class="fault" d="M10 2h10l-5 9z"/><text class="number" x="24" y="12">1</text>'
    '<rect class="finger" x="46" y="1" width="14" height="12" rx="3"/></svg>'
    "a finding of the list, and its fingers. Letters name the melody: G and A are the low notes, g and a the high ones."
    "</p>"
)
_GUESSED = (
    "<p>This take tells notes, not fingers: the fingers drawn as played are those that its notes are commonly played "
    "with, and a finger that the list names is the likeliest for what was heard.</p>"
)


def _lanes(rank: int, judgement: Judgement, lanes: TakeLanes, lines: Sequence[PageLine]) -> str:
    told = any(isinstance(event, Fingered) for event in judgement.events)
    figures = "\n".join(
        f'<figure id="t{rank}l{place}">{picture_of(judgement, lanes, line, rank)}</figure>'
        for place, line in enumerate(lines, start=1)
    )
    caveat = "" if told else _GUESSED
    return f'<h3>Finger by finger</h3>\n{_KEY}{caveat}\n<div class="lanes">\n{figures}\n</div>'
