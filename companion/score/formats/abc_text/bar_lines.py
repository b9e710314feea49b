"""Writes what stands between two bars: repeats, double bars, endings (ABC 2.1 sections 4.8 to 4.10)."""

from __future__ import annotations

from companion.score.model import BarSigns


def right_of(signs: BarSigns) -> str:
    """The bar line at the right of a bar: "|", ":|", "||", "|]", or "]" where only a bracket closes an ending."""
    colons = ":" * (signs.closes - 1) if signs.closes else ""
    if signs.double:
        return f"{colons}|]" if signs.ends_ending else f"{colons}||"
    return f"{colons}]" if signs.ends_ending else f"{colons}|"


def left_of(signs: BarSigns) -> str:
    """What stands at the left of a bar: "|:" and "[1,2 ", "" where nothing does."""
    opens = "|" + ":" * max(1, signs.opens - 1) if signs.opens else ""
    ending = f"[{','.join(map(str, signs.ending))} " if signs.ending else ""
    return f"{opens}{ending}"


def between(before: BarSigns, after: BarSigns) -> tuple[str, str]:
    """The bar line between two bars, and what stands before the second: one sign where one is enough."""
    right, left = right_of(before), left_of(after)
    return ("", left) if right == "|" and left.startswith("|:") else (right, left)
