"""Draws the note of a tempo such as "♩ = 72": a font that has it is not to be had everywhere, least of all in a PDF."""

from __future__ import annotations

import re

MINIM, CROTCHET, QUAVER = "\N{MUSICAL SYMBOL HALF NOTE}", "\N{QUARTER NOTE}", "\N{EIGHTH NOTE}"

_TEMPO = re.compile(
    r'(?P<before><g id="[^"]*" class="tempo">\s*)<text x="(?P<x>-?\d+)" y="(?P<y>-?\d+)"(?P<between>.*?)'
    rf'<tspan font-size="(?P<size>\d+)px">(?P<sign>[{MINIM}{CROTCHET}{QUAVER}])(?P<dot>\.?) = ',
    re.DOTALL,
)


def with_tempo_signs(page: str) -> str:
    """The SVG of a page with the note in front of each tempo's figure drawn, and taken out of its words."""
    return _TEMPO.sub(_drawn, page)


def _drawn(tempo: re.Match[str]) -> str:
    """A note head with its stem, flag and dot, as high as the letters beside it; then the rest of the words."""
    x, y, size = int(tempo["x"]), int(tempo["y"]), int(tempo["size"])
    head, stem = size * 0.21, size * 0.80
    right = x + 2 * head
    inside = "none" if tempo["sign"] == MINIM else "currentColor"
    line = f'stroke="currentColor" stroke-width="{size * 0.06:.0f}"'
    drawn = (
        f'<ellipse cx="{x + head:.0f}" cy="{y - head * 0.7:.0f}" rx="{head:.0f}" ry="{head * 0.68:.0f}" '
        f'transform="rotate(-22 {x + head:.0f} {y - head * 0.7:.0f})" fill="{inside}" {line}/>'
        f'<path d="M{right - size * 0.02:.0f} {y - head:.0f} V{y - stem:.0f}" fill="none" {line}/>'
    )
    if tempo["sign"] == QUAVER:
        flag = f"M{right:.0f} {y - stem:.0f} q{size * 0.05:.0f} {size * 0.2:.0f} {size * 0.2:.0f} {size * 0.36:.0f}"
        drawn += f'<path d="{flag}" fill="none" {line}/>'
    width = 2 * head + size * (0.3 if tempo["sign"] == QUAVER else 0.12)
    if tempo["dot"]:
        drawn += f'<circle cx="{x + width + size * 0.04:.0f}" cy="{y - head * 0.7:.0f}" r="{size * 0.06:.0f}"/>'
        width += size * 0.22
    # The blank in front of the words is room: in SVG a blank at the beginning of a text is left away.
    width += size * 0.16
    words = f'<text x="{x + width:.0f}" y="{y}"{tempo["between"]}<tspan font-size="{size}px">= '
    return f"{tempo['before']}{drawn}{words}"
