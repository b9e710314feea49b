"""How the page for a teacher looks: its colours by what they are for, and its style sheet."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Palette:
    """Colours as a style sheet writes them ("#20242b"). Text is in ink, quiet, played or fault; past is for lines."""

    ground: str
    ink: str
    quiet: str
    past: str
    played: str
    fault: str
    guide: str


def style_sheet(palette: Palette) -> str:
    """The page's style sheet. Lanes stand side by side where there is room for two, one below the other on a phone."""
    return f"""
:root {{ color-scheme: light; }}
body {{ background: {palette.ground}; color: {palette.ink}; font: 1.05rem/1.5 Georgia, "Times New Roman", serif;
  margin: 2rem auto; max-width: 66rem; padding: 0 1rem; overflow-wrap: break-word; }}
h1 {{ font-size: 1.8rem; margin: 0 0 .2rem; line-height: 1.2; }} h2 {{ font-size: 1.4rem; margin: 2.4rem 0 .2rem; }}
h3 {{ font-size: 1.15rem; margin: 1.6rem 0 .3rem; }} h2, h3 {{ line-height: 1.25; break-after: avoid; }}
p {{ margin: .3rem 0; max-width: 46rem; }} .quiet {{ color: {palette.quiet}; }}
table {{ border-collapse: collapse; }}
th, td {{ text-align: left; vertical-align: top; padding: .15rem 1.2rem .15rem 0; }}
th {{ font-weight: normal; }} td {{ font-variant-numeric: tabular-nums; }}
nav {{ margin: 1rem 0; }} nav td[data-name] {{ white-space: nowrap; }} nav td:last-child {{ white-space: normal; }}
thead th {{ color: {palette.quiet}; border-bottom: 1px solid {palette.past}; }}
ol, ul {{ margin: .3rem 0; padding-left: 2.2rem; max-width: 46rem; }} li {{ margin: .4rem 0; }}
.drill {{ display: block; border-left: 3px solid {palette.guide}; padding-left: .7rem; margin-top: .2rem; }}
.lanes {{ display: grid; grid-template-columns: repeat(auto-fill, minmax(min(100%, 27rem), 1fr)); gap: 1.2rem 1.6rem; }}
figure {{ margin: 0; break-inside: avoid; }} svg {{ width: 100%; height: auto; display: block; }}
svg text {{ fill: {palette.ink}; font: 14px Georgia, "Times New Roman", serif; }} svg .quiet {{
  fill: {palette.quiet}; }}
.lane {{ stroke: {palette.past}; stroke-width: .6; }} .bar {{ stroke: {palette.ink}; stroke-width: 1.4; }}
.beat {{ stroke: {palette.past}; stroke-width: .8; stroke-dasharray: 1 4; }} .tick {{ stroke: {palette.quiet}; }}
.asked {{ fill: none; stroke: {palette.ink}; stroke-width: .9; }} .played {{ fill: {palette.played}; }}
.beside {{ fill: {palette.ground}; opacity: .6; }}
.fault {{ fill: {palette.fault}; }} svg .number {{ fill: {palette.fault}; font-weight: bold; }}
.where {{ stroke: {palette.fault}; stroke-width: 1; stroke-dasharray: 3 3; }}
.finger {{ fill: none; stroke: {palette.fault}; stroke-width: 2; }}
.key {{ display: inline-block; width: 4.5rem; margin: 0 .4rem 0 1rem; vertical-align: middle; }}
a {{ color: {palette.played}; }} a:focus-visible {{ outline: 3px solid {palette.ink}; outline-offset: 2px; }}
:target {{ outline: 2px solid {palette.guide}; outline-offset: 4px; }}
@media print {{ body {{ margin: 0; max-width: none; padding: 0; font-size: 10.5pt; }} a {{ text-decoration: none; }}
  .lanes {{ grid-template-columns: 1fr 1fr; }} .beside {{ display: none; }}
  section + section {{ break-before: page; }} }}
@media (max-width: 44rem) {{
  nav table, nav tbody, nav tr, nav th, nav td {{ display: block; padding: 0; }} nav thead {{ display: none; }}
  nav tr {{ margin: .7rem 0; }} nav td[data-name]::before {{ color: {palette.quiet}; content: attr(data-name) ": "; }}
  svg text {{ font-size: 16px; }} }}
"""
